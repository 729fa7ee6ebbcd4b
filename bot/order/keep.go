package order

import (
	"encoding/json"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Keeps reports whether a text puts an answer on record.
func Keeps(text string) bool {
	o, rest := FindOrder((&Request{}).Address(strings.TrimSpace(text)))
	return o != nil && o.Words[0] == "keep" && pointing[strings.ToLower(rest)]
}

// pointing is what may stand behind the order: keep it.
var pointing = map[string]bool{"": true, "it": true, "that": true, "this": true}

// keep puts the answer that was given last on the door's record.
func (e *Request) keep(rest string) error {
	a := e.Msg.Answered
	switch {
	case !pointing[strings.ToLower(rest)]:
		return bot.Refuse(say.F("keep alone puts the last answer on the door's record; what goes wrong is said as snag, what is planned as visit"))
	case a == nil:
		return bot.Refuse(say.F("you were given no answer here in the last ten minutes: ask, then say keep"))
	case !a.OK():
		return bot.Refuse(say.F("by what the door has now that is not answered any more: ask again, then say keep"))
	}
	return e.Do(&jobs.KeepAnswer{Kept: onRecord(a)})
}

// onRecord returns an answer as it goes on record: what was told of it, with what
// stood beside it, and what was assumed apart from what was given.
func onRecord(a *ask.Answer) (k jobs.Kept) {
	k.Asked = lex.CutText(a.Asked, 500) // not all of a log
	if hidden := slices.ContainsFunc(a.Results, func(r ask.Result) bool { return r.Minor }); hidden && !a.Headline.IsZero() {
		k.Told, _ = json.Marshal(a.Headline) // strings always marshal
	}
	for i := range a.Results {
		if r := &a.Results[i]; !r.Minor {
			k.Results = append(k.Results, jobs.Told{Name: r.Name, Value: r.Shown.String()})
		}
	}
	for _, text := range a.Caveats() {
		but, _ := json.Marshal(text) // strings always marshal
		k.But = append(k.But, but)
	}
	for i := range a.Inputs {
		g := &a.Inputs[i]
		t, by := jobs.Told{Name: g.Name, Value: g.Shown.String()}, &k.By
		if g.Kind == ask.WordValue {
			t.Value = g.Word
		}
		if g.From == ask.Assumed {
			by = &k.If
		}
		if t.Value != "" && !g.Quiet && !slices.Contains(*by, t) {
			*by = append(*by, t)
		}
	}
	return k
}
