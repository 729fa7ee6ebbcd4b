package verb_test

import (
	"context"
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"heelpost/bot"
	"heelpost/bot/talk"
)

// An understood is what the program made of a text.
type understood struct {
	verb     string
	inputs   inputs
	results  inputs   // each as it is told, and unrounded
	answered bool     // a number or a help text came, exit status 0
	need     []string // what must be given yet
	said     string   // all that is said beside the text itself, in lower case
	more     []understood
}

// inputs are the numbers that were taken from a text, by their names: lengths
// in mm, masses in kg, temperatures in °C, times in h, angles in degrees.
type inputs map[string][]float64

// same tells whether both hold the same names and values. Told values are
// rounded somewhere below a thousandth.
func (a inputs) same(b inputs) bool {
	return maps.EqualFunc(a, b, func(x, y []float64) bool {
		return slices.EqualFunc(x, y, func(p, q float64) bool { return math.Abs(p-q) <= 0.001 })
	})
}

// gives tells whether all of want is among the results, as told or unrounded.
func (u understood) gives(want inputs) bool {
	for name, values := range want {
		for _, v := range values {
			if !slices.ContainsFunc(u.results[name], func(r float64) bool { return math.Abs(r-v) <= 0.001 }) {
				return false
			}
		}
	}
	return true
}

// String writes inputs as the corpus does.
func (a inputs) String() string {
	var words []string
	for _, name := range slices.Sorted(maps.Keys(a)) {
		for _, v := range a[name] {
			words = append(words, name+"="+strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64))
		}
	}
	return strings.Join(words, " ")
}

// String tells in one line what was understood.
func (u understood) String() string {
	if !u.answered {
		return "asks: " + u.said
	}
	text := strings.TrimSpace(u.verb + " " + u.inputs.String())
	for _, m := range u.more {
		text += " & " + m.String()
	}
	return text
}

// understand asks the program, and reads the answer as any program would that
// is given its JSON. Of several things said in a row it is the last answer.
func understand(t *testing.T, text string) understood {
	t.Helper()
	answer := talk.Ask(text)
	if help, told := talk.Help(nil, text); told != nil {
		return understood{inputs: inputs{}, answered: true, said: strings.ToLower(help)}
	}
	if said := strings.Split(text, " >> "); len(said) > 1 {
		last := converse(t, said)
		if answer = last.Answer; answer == nil {
			return understood{inputs: inputs{}, answered: last.Kind == bot.KindAnswer, said: strings.ToLower(last.Text)}
		}
	}
	data, err := json.Marshal(answer)
	if err != nil {
		t.Fatalf("%q: %s", text, err)
	}
	var told tellings
	if err := json.Unmarshal(data, &told); err != nil {
		t.Fatalf("%q: %s", text, err)
	}
	return told.understood()
}

// tellings are an answer as programs read it.
type tellings struct {
	Verb   string
	Inputs []struct {
		Name, From string
		Value      any
	}
	Results []struct {
		Name         string
		Value, Exact any
	}
	Cautions, Read, Notes, Assumed, Need []string
	Error                                string
	More                                 []tellings
}

func (t *tellings) understood() understood {
	u := understood{verb: t.Verb, inputs: inputs{}, results: inputs{}, answered: t.Error == "" && len(t.Need) == 0, need: t.Need}
	for _, in := range t.Inputs {
		if v, ok := in.Value.(float64); ok && in.From == "asked" {
			u.inputs[in.Name] = append(u.inputs[in.Name], v)
		}
	}
	for _, r := range t.Results {
		for _, v := range []any{r.Value, r.Exact} {
			if v, ok := v.(float64); ok {
				u.results[r.Name] = append(u.results[r.Name], v)
			}
		}
	}
	all := slices.Concat([]string{t.Error}, t.Read, t.Notes, t.Cautions, t.Assumed)
	u.said = strings.TrimSpace(strings.ToLower(strings.Join(all, " ")))
	for i := range t.More {
		u.more = append(u.more, t.More[i].understood())
	}
	return u
}

// converse lets one person say several things, a minute apart, and returns the
// last post.
func converse(t *testing.T, said []string) bot.Post {
	t.Helper()
	room := talk.New(&talk.Memory{}, nil)
	at := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
	var last bot.Post
	for i, text := range said {
		posts, err := room.Handle(context.Background(), bot.Message{ID: strconv.Itoa(i), At: at.Add(time.Duration(i) * time.Minute), Person: "ana", Text: text})
		if err != nil || len(posts) == 0 {
			t.Fatalf("%q: %d posts: %s", text, len(posts), err)
		}
		last = posts[len(posts)-1]
	}
	return last
}
