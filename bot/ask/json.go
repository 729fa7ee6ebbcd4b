package ask

import (
	"encoding/json"
	"math"
	"slices"

	"heelpost/bot/say"
	"heelpost/calc"
)

// The JSON of an answer is stable: fields are added, never renamed.
type (
	answerJSON struct {
		Asked    string       `json:"asked"`
		Verb     string       `json:"verb"`
		Inputs   []givenJSON  `json:"inputs"`
		Results  []resultJSON `json:"results"`
		Checks   []checkJSON  `json:"checks"`
		Working  []string     `json:"working"`
		Assumed  []string     `json:"assumed"`
		Sources  []string     `json:"sources"`
		Cautions []string     `json:"cautions"`
		Read     []string     `json:"read"`
		Notes    []string     `json:"notes"`
		Need     []string     `json:"need"`
		Error    string       `json:"error"`
		More     []*Answer    `json:"more,omitempty"` // to the other questions of the same message
	}
	givenJSON struct {
		Name  string `json:"name"`
		Value any    `json:"value"`
		Unit  string `json:"unit"`
		From  Origin `json:"from"`
		Count int    `json:"count,omitempty"`
	}
	resultJSON struct {
		Name  string `json:"name"`
		Value any    `json:"value"`
		Exact any    `json:"exact"`
		Unit  string `json:"unit"`
		Shown string `json:"shown"`
	}
	checkJSON struct {
		Name   string  `json:"name"`
		Limit  float64 `json:"limit"`
		Unit   string  `json:"unit"`
		Value  float64 `json:"value"`
		OK     bool    `json:"ok"`
		Source string  `json:"source"`
	}
)

// MarshalJSON returns the answer in the form that programs read: lengths in
// mm, angles in degrees, masses in kg, temperatures in degC, times in h.
func (a *Answer) MarshalJSON() ([]byte, error) {
	j := answerJSON{Asked: a.Asked, Verb: a.Verb, Inputs: []givenJSON{}, Results: []resultJSON{}, Checks: []checkJSON{},
		Working: english(a.Working), Assumed: english(a.Assumed), Sources: english(a.Sources), Cautions: []string{}, Read: english(a.Read), Notes: english(slices.Concat(a.Mentions, a.Notes)),
		Need: append([]string{}, a.Need...), Error: a.Error.String(), More: a.More}
	for i := range a.Cautions {
		j.Cautions = append(j.Cautions, a.Cautions[i].Text.String())
	}
	for i := range a.Inputs {
		g := &a.Inputs[i]
		switch g.Kind {
		case LengthValue:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, g.Length.MM(), "mm", g.From, g.Count})
		case AngleValue:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, float64(g.Angle), "deg", g.From, g.Count})
		case NumberValue:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, g.Number, g.Unit, g.From, g.Count})
		default:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, g.Word, "", g.From, g.Count})
		}
	}
	for i := range a.Results {
		r := &a.Results[i]
		switch r.Kind {
		case AngleValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Number, thousandths(float64(r.Angle)), "deg", r.Shown.String()})
		case TruthValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Truth, r.Truth, "", r.Shown.String()})
		case WordValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Word, r.Word, "", r.Shown.String()})
		case NumberValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Number, thousandths(r.Exact), r.Unit, r.Shown.String()})
		default:
			j.Results = append(j.Results, resultJSON{r.Name, r.Length.SetOut.MM(), thousandths(r.Length.Exact.MM()), "mm", r.Shown.String()})
		}
	}
	for i := range a.Checks {
		c := &a.Checks[i]
		j.Checks = append(j.Checks, checkJSON{c.Name, c.Limit.MM(), "mm", c.Value.MM(), c.OK, source(c)})
	}
	return json.Marshal(j)
}

func source(c *calc.Check) string {
	if c.Note == "" {
		return string(c.Source)
	}
	return string(c.Source + " (" + c.Note + ")")
}

// english puts texts into words: programs read English.
func english(texts []say.Text) []string {
	all := make([]string, len(texts))
	for i, t := range texts {
		all[i] = t.String()
	}
	return all
}

func thousandths(x float64) float64 { return math.Round(x*1000) / 1000 }
