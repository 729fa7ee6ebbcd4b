package order

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/survey"
	"heelpost/jobs"
)

// Surveyed returns the order with a reply put in its place. whole is false if
// only the front of the reply is part of a door's description, and text is ""
// if nothing of it is; err says why, and is nil if it drops what waits.
func Surveyed(o *ask.Open, reply string, n *survey.Names) (text string, whole bool, err error) {
	if o.Guess != "" && lex.Agrees(reply) && o.Text != "" {
		reply = o.Guess
	}
	if text, ok, err := direct(o, reply, n); ok {
		return text, text != "", err
	}
	before, evidence := survey.BeforeEvidence(o.Text)
	tries := []string{reply, o.Before + " " + reply}
	if slices.Contains([]string{"floor", "sheet", "opening", "else"}, o.Before) {
		slices.Reverse(tries) // what stands alone may be taken for more than it answers
	}
	if !fits(o, reply, n) {
		tries = []string{reply} // anything at all would be a name
	}
	for _, said := range tries {
		s, no := survey.ReadSurvey(said, new(jobs.Spec), n)
		put := before + " " + said + evidence + o.After
		if no == nil && s.Parts > 0 {
			return put, true, nil
		} else if no == nil {
			no = errors.New("that says nothing of the door")
		}
		if s.Parts > 0 && text == "" {
			text = put
		}
		if said == reply {
			err = no
		}
	}
	return text, false, err
}

// chosen returns the offer that a reply chooses by its number or by a word that
// is in no other, "" if it chooses none.
func chosen(o *ask.Open, reply string) string {
	if n, ok := ask.Ordinal(reply); ok && 1 <= n && n <= len(o.Offers) {
		return o.Offers[n-1]
	}
	has := func(offer string) bool {
		return slices.ContainsFunc(strings.Fields(offer), func(w string) bool { return strings.EqualFold(w, strings.Trim(reply, " .!\n")) })
	}
	if i := slices.IndexFunc(o.Offers, has); i >= 0 && !slices.ContainsFunc(o.Offers[i+1:], has) {
		return o.Offers[i]
	}
	return ""
}

// Settles reports whether a reply that may be no reply at all answers a
// question that is about an order as a whole.
func Settles(o *ask.Open, reply string) bool {
	return len(o.Offers) > 0 && chosen(o, reply) != "" || strings.EqualFold(strings.Trim(reply, " .!\n"), "yes")
}

// direct takes a reply that is no part of a description: to a slip, a choice
// of people, or what is left out; ok is false if one is wanted.
func direct(o *ask.Open, reply string, n *survey.Names) (text string, ok bool, err error) {
	switch order, _ := FindOrder(reply); {
	case len(o.Offers) > 0:
		if n, ok := ask.Ordinal(reply); ok && (n < 1 || n > len(o.Offers)) {
			return "", true, fmt.Errorf("there is no %d among them", n)
		}
		return chosen(o, reply), true, nil
	case o.Text == "" && lex.Agrees(reply):
		return o.Guess, true, nil
	case o.Text == "":
		return "", true, nil // it is something new
	case o.Who:
		if id := strings.Trim(reply, " @.!\n"); n.Person(id) {
			return o.Text + " @" + id + o.After, true, nil
		}
		return "", true, errors.New("name one person of the site, as @ana")
	case o.Part && leavesOut(reply):
		return o.Text + o.After, true, nil
	case o.Text != "door open":
		return "", false, nil
	case order != nil || ask.Ask(reply, nil, nil).OK():
		return "", true, errors.New("that is no door's id")
	}
	return o.Text + " " + reply + o.After, true, nil // it gives the id
}

// fits reports whether a reply may be what its order's word wants behind it.
func fits(o *ask.Open, reply string, n *survey.Names) bool {
	known := n.Floors
	switch {
	case strings.HasPrefix(strings.ToLower(o.Before), "evidence"):
		return namesEvidence(reply)
	case o.Before == "sheet":
		known = n.Sheets
	case o.Before != "floor":
		return true
	}
	tokens := lex.Lex(reply, nil)
	return len(tokens) == 1 || len(tokens) > 1 && slices.Contains(known, tokens[0].Word)
}

// namesEvidence reports whether a reply may be what a test evidence is called:
// it has a number, and is neither order nor question.
func namesEvidence(reply string) bool {
	o, _ := FindOrder(reply)
	return o == nil && ask.VerbIn(reply) == nil && strings.ContainsAny(reply, "0123456789")
}

// leavesOut reports whether a reply leaves out what was not understood.
func leavesOut(reply string) bool {
	switch strings.ToLower(strings.Trim(reply, " \t\n.!,")) {
	case "leave it out", "leave that out", "left out", "nothing", "skip it":
		return true
	}
	return false
}
