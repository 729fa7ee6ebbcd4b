package order

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/ask"
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

// onRecord returns an answer as it goes on record.
func onRecord(a *ask.Answer) jobs.Kept {
	k := jobs.Kept{Asked: a.Asked}
	for i := range a.Results {
		k.Results = append(k.Results, jobs.Told{Name: a.Results[i].Name, Value: a.Results[i].Shown.String()})
	}
	for i := range a.Inputs {
		g := &a.Inputs[i]
		t := jobs.Told{Name: g.Name, Value: g.Shown.String()}
		if g.Kind == ask.WordValue {
			t.Value = g.Word
		}
		if t.Value != "" && !slices.Contains(k.By, t) {
			k.By = append(k.By, t)
		}
	}
	return k
}
