package talk_test

import (
	"bytes"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/bot/say/keys"
	"heelpost/bot/talk"
)

// turned is the made-up language.
var turned = sync.OnceValues(func() (*say.Language, error) {
	k, err := keys.Read("../..")
	if err != nil {
		return nil, err
	}
	return k.Turned(), nil
})

// TestConversations_translated replays every conversation in a made-up
// language, and holds it against the English of the file: every sentence is
// translated, no figure is lost, and at the doors the same was done.
func TestConversations_translated(t *testing.T) {
	language, err := turned()
	if err != nil {
		t.Fatal(err)
	}
	paths, err := filepath.Glob("../../testdata/chat/*.chat")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	conversations := make([]string, len(paths))
	for i, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		conversations[i] = string(data)
	}
	typed := folding(typable(t, conversations))
	for i, english := range conversations {
		t.Run(strings.TrimSuffix(filepath.Base(paths[i]), ".chat"), func(t *testing.T) {
			before, after := replay(t, english), replayIn(t, language, english)
			if diff := cmp.Diff(before.doors, after.doors); diff != "" {
				t.Errorf("something else was done (-English +translated):\n%s", diff)
			}
			sameSaid(t, english, after.said, typed)
			if len(before.screens) != len(after.screens) {
				t.Fatalf("%d screens, in English %d", len(after.screens), len(before.screens))
			}
			for i, was := range before.screens {
				samePost(t, was, after.screens[i], typed, folding(english+typable(t, []string{asPost(was)})))
			}
		})
	}
}

// Every answer to what people type, as testdata has it, is translated too.
func TestAsk_translated(t *testing.T) {
	language, err := turned()
	if err != nil {
		t.Fatal(err)
	}
	lists, err := filepath.Glob("../../testdata/ask/*.txt")
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for _, path := range append(lists, "../../testdata/understood.csv") {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(data), "\n") {
			text, _, ok := strings.Cut(line, map[bool]string{true: " => ", false: ","}[strings.HasSuffix(path, ".txt")])
			if text = strings.Trim(text, `"`); !ok || strings.Contains(text, " >> ") {
				continue
			}
			asked++
			m := bot.Message{Person: "ana", Text: text}
			was, is := (&talk.Bot{}).Reply(&m, talk.Ask(text)), (&talk.Bot{Language: language}).Reply(&m, talk.Ask(text))
			typed := strings.Join(word.FindAllString(little.ReplaceAllString(text, ""), -1), "\n")
			samePost(t, was.Text, is.Text, folding(text+"\n"+strings.Join(strings.Fields(text), "\n")+"\n"+typed+typable(t, []string{asPost(was.Text)})))
			if was.Picture != nil && asked%10 == 0 {
				samePost(t, labels(was.Picture, nil), labels(is.Picture, language), folding("mm\nin"))
			}
		}
	}
	if asked < 1000 {
		t.Errorf("%d questions, want 1000 at least", asked)
	}
}

// labels are what stands in a picture, and what it shows in words.
func labels(d *draw.Drawing, l *say.Language) string {
	var all []string
	for _, m := range svgText.FindAllStringSubmatch(string(d.SVG(l, draw.Light)), -1) {
		all = append(all, html.UnescapeString(m[1]))
	}
	return strings.Join(all, "\n")
}

var svgText = regexp.MustCompile(`(?:<text[^>]*|<title)>([^<]*)<`)

// replayed is what a conversation has come to.
type replayed struct {
	said    string
	doors   map[string][]string // the log and the state of each
	screens []string            // what the doors and people see after it
	answers []*ask.Answer       // short ones, in order
}

// replay replays a conversation in English, once for all who ask.
func replay(t *testing.T, script string) replayed {
	played.Lock()
	defer played.Unlock()
	r, ok := played.of[script]
	if !ok {
		r = replayIn(t, nil, script)
		played.of[script] = r
	}
	return r
}

var played = struct {
	sync.Mutex
	of map[string]replayed
}{of: map[string]replayed{}}

// replayIn replays a conversation in a language.
func replayIn(t *testing.T, l *say.Language, script string) (r replayed) {
	var out bytes.Buffer
	r.doors = map[string][]string{}
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		chat := roomFor(t, store, &out, script)
		heard := &listener{Bot: chat.Bot}
		chat.Bot = heard
		works := chat.Work.(*works)
		works.Desk.Language, works.bot.Language, chat.Language, chat.Screen.Language = l, l, l, l
		script := pressed.ReplaceAllStringFunc(script, func(label string) string { return label[:3] + translatedLabel(l, label[3:len(label)-1]) + "]" })
		if err := chat.Run(t.Context(), strings.NewReader(script), time.Now); err != nil {
			t.Error(err)
		}
		r.answers = heard.answers
		sameFold(t, store, "orchard-lane")
		all, _, err := store.Doors(t.Context(), "orchard-lane/all", 0, 1000)
		if err != nil {
			t.Fatal(err)
		}
		for _, person := range []string{"ana", "mo", "ivy"} {
			home, err := works.bot.Home(t.Context(), person, "", 1, time.Now())
			if err != nil {
				t.Fatal(err)
			}
			r.screens = append(r.screens, homeText(home))
		}
		for _, rec := range all {
			r.screens = append(r.screens, screensOf(t, works, rec.Key, l)...)
			log, err := store.Log(t.Context(), rec.Key, 0, 1000)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range log {
				r.doors[rec.Key] = append(r.doors[rec.Key], string(e.Data))
			}
			r.doors[rec.Key] = append(r.doors[rec.Key], string(rec.State))
		}
	})
	r.said = out.String()
	return r
}

// screensOf returns what is shown of a door beside what is said.
func screensOf(t *testing.T, w *works, key string, l *say.Language) (all []string) {
	face, err := w.bot.Face(t.Context(), key)
	if err != nil {
		t.Fatal(err)
	}
	text := face.Text
	for _, b := range face.Buttons {
		text += "\n" + b.Label
	}
	all = append(all, text)
	for _, id := range []string{"readings", "ticks", "visit", "snag", "open"} {
		f, err := w.bot.Form(t.Context(), bot.Message{ID: id, At: time.Now(), Person: "ana", Channel: face.Channel, Thread: face.Thread}, id)
		text, refused := bot.Refused(l, err)
		if err != nil && !refused {
			t.Fatal(err)
		}
		if err == nil {
			text = f.Text(l) + "\n" + f.Submit
			for _, field := range f.Fields {
				for _, o := range field.Options {
					text += "\n" + o.Label
				}
			}
		}
		all = append(all, text)
	}
	return all
}

// homeText returns all texts of a home.
func homeText(h bot.Home) string {
	var b strings.Builder
	for _, s := range h.Sections {
		b.WriteString(s.Title + "\n")
		for _, line := range s.Lines {
			b.WriteString(line.Text + "\n")
			for _, button := range line.Buttons {
				b.WriteString(button.Label + "\n")
			}
		}
	}
	for _, o := range h.Filters {
		b.WriteString(o.Label + "\n")
	}
	return b.String()
}

var pressed = regexp.MustCompile(`> \[.*\]`)

// translatedLabel returns the label of a button that is pressed.
func translatedLabel(l *say.Language, label string) string {
	words := strings.Fields(label)
	if named := slices.Contains([]string{"Tick", "Done", "Yes", "Move"}, words[0]); named && len(words) > 1 && words[1] != "visit" && words[1] != "several" {
		args := make([]any, len(words)-1)
		for i, w := range words[1:] {
			args[i] = w
		}
		return l.Say(say.F(words[0]+strings.Repeat(" %s", len(args)), args...))
	}
	return l.Say(say.F(label))
}

var (
	figures = regexp.MustCompile(`[0-9]+(?:[.:,][0-9]+)*`)
	words   = regexp.MustCompile(`\pL+`)
	latin   = regexp.MustCompile(`[A-Za-z0-9][A-Za-z0-9_.' -]*`)
)

// posts parts a conversation into what is said by each side.
func posts(conversation string) (all []string) {
	for _, line := range strings.Split(conversation, "\n") {
		if strings.HasPrefix(line, "  ") && len(all) > 0 {
			all[len(all)-1] += "\n" + line
			continue
		}
		all = append(all, line)
	}
	return all
}

// asPost returns a text as it stands in a conversation.
func asPost(text string) string { return "bot> " + strings.ReplaceAll(text, "\n", "\n  ") }

func sortedOf(re *regexp.Regexp, text string) []string {
	return slices.Sorted(slices.Values(re.FindAllString(text, -1)))
}

// sameSaid checks that all posts of a conversation are translated.
func sameSaid(t *testing.T, english, translated string, typed folded) {
	was, is := posts(english), posts(translated)
	if len(was) != len(is) {
		t.Fatalf("%d posts and lines, in English %d", len(is), len(was))
	}
	var before []string // what was typed
	for i := range was {
		if !strings.HasPrefix(was[i], "bot") {
			before = append(before, little.ReplaceAllString(was[i], ""))
			continue
		}
		last := strings.Join(before[max(0, len(before)-6):], "\n")
		_, text, _ := strings.Cut(is[i], "> ")
		_, in, _ := strings.Cut(was[i], "> ")
		samePost(t, in, text, typed, folding(strings.Join(word.FindAllString(last, -1), "\n")))
	}
}

// folded is what is typed, a thing a line, in lower case.
type folded string

func folding(typed string) folded {
	return folded("\n" + strings.ToLower(strings.ReplaceAll(typed, "@", "")) + "\n")
}

// samePost checks that what is shown is translated: no English is left but what
// is typed, and figures and words are those of the English.
func samePost(t *testing.T, was, is string, typed ...folded) {
	t.Helper()
	for what, re := range map[string]*regexp.Regexp{"figures": figures, "words": words} {
		if diff := cmp.Diff(sortedOf(re, was), sortedOf(re, keys.Latin(is))); diff != "" {
			t.Errorf("the %s of\n%s\nare others in\n%s\n(-English +translated):\n%s", what, was, is, diff)
		}
	}
	for _, run := range latin.FindAllString(quoted.ReplaceAllString(strings.ReplaceAll(is, "@", ""), "·"), -1) {
		if !isTyped(typed, strings.Fields(strings.ToLower(run))) {
			t.Errorf("%q is not translated in\n%s\nwhich is\n%s", run, is, was)
		}
	}
}

// isTyped reports whether words are what somebody types, as it stands, or names
// that are the same in all languages.
func isTyped(typed []folded, words []string) bool {
	stands := func(phrase string) bool {
		return slices.ContainsFunc(typed, func(f folded) bool { return strings.Contains(string(f), phrase) })
	}
	for n := len(words); n > 0; n-- {
		phrase := strings.Join(words[:n], " ")
		known := n > 1 && stands(phrase) || n == 1 && (same.MatchString(phrase) || stands("\n"+phrase+"\n"))
		if known && isTyped(typed, words[n:]) {
			return true
		}
	}
	return len(words) == 0
}

var (
	word    = regexp.MustCompile(`[A-Za-z][A-Za-z0-9_-]*`)
	little  = regexp.MustCompile(`\b(a|an|and|at|by|for|from|in|is|of|on|or|the|to|was|with)\b`)
	quoted  = regexp.MustCompile(`"[^"]*"|[a-z_-]+=| -|[.]( |$)`)
	comment = regexp.MustCompile(`#.*`)

	// same matches what is the same in all languages: units, ids, people.
	same = regexp.MustCompile(`^(mm|kg|lb|ml|m|s|x|n|c|f|k|j|en|in|h|min|[0-9.'-]+(mm)?|[a-z]+-?[0-9]+|ana|bo|cy|mo|ivy|nobody|north|south|main|orchard-lane|[a-z-]+[.]jpg)$`)
	// named matches what the bot names to be typed, in all languages alike.
	named = []*regexp.Regexp{
		regexp.MustCompile(`(?m)^  [a-z_]+: [A-Z].*?; ([a-z, ]+)(?:;| =|$)`), // choices of forms
		regexp.MustCompile(`\[.\] \d+ ([a-z-]+):`),                           // items of the checklist
		regexp.MustCompile(`(?m)^      (.*)$|^bot> (.*)\n      `),            // examples and orders in help
		regexp.MustCompile(`(?m), as in (.*)$`),                              // values
		regexp.MustCompile(`(?m)^  ([a-z_]+): [A-Z]`),                        // fields of forms
		regexp.MustCompile(`\([1-9]\) ([^,;[(]*)`),                           // ways to say it
		regexp.MustCompile(`did you mean ([^?]*)(?:, or|\?)`),                // orders
		regexp.MustCompile(`foreman know, as ([^?]*)\?`),                     // a snag
		regexp.MustCompile(`(?m)in the door's thread, or as (.*)$`),          // the same
		regexp.MustCompile(`stand there: ([^?]*)\?`),                         // a correction
		regexp.MustCompile(`of this form: (.*)`),                             // fields
		regexp.MustCompile(`(?m)^(?:  |bot.*> )([a-z]+): .*\n      `),        // questions in help
		regexp.MustCompile(`(?m)read:? \S+ as (\S+)$`),                       // words put right
		regexp.MustCompile(`(?m), for example (.*)$`),                        // replies
		regexp.MustCompile(`name the month, as (.*)`),                        // days
		regexp.MustCompile(`is called off: ([^;\n]*)`),                       // reasons
		regexp.MustCompile(`\([1-9]\) (\w+)`),                                // readings
		regexp.MustCompile(`(?:, as|takes no) (.*); help`),                   // replies, words
		regexp.MustCompile(`; help (\w+) tells`),                             // questions
		regexp.MustCompile(`(?m)say it as ([^,;\n]*)`),                       // values
		regexp.MustCompile(`, for example (\w+)`),                            // first words of replies
		regexp.MustCompile(`(?m)read:? (.*) left out$`),                      // words left out
	}
)

// typable returns what is typed in all conversations, what the bot says is to
// be typed, and what the files of sites and sheets have: one thing a line.
func typable(t *testing.T, conversations []string) string {
	var b strings.Builder
	for _, name := range []string{"sheets/orchard.yaml", "sheets/quarry.yaml", "sheets/terrace.yaml", "sheets/harbour.yaml", "sites/orchard-lane.yaml"} {
		b.WriteString(comment.ReplaceAllString(string(read(t, name)), "\n"))
	}
	for _, c := range conversations {
		for _, p := range posts(c) {
			if !strings.HasPrefix(p, "bot") {
				b.WriteString(p + "\n")
				continue
			}
			for _, re := range named {
				for _, m := range re.FindAllStringSubmatch(p, -1) {
					found := strings.Join(m[1:], "")
					b.WriteString("\n" + strings.ReplaceAll(found, ", ", "\n\n") + "\n" + found + "\n")
				}
			}
		}
	}
	return b.String()
}
