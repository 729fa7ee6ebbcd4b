package ask

import (
	"encoding/json"
	"math"

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
	}
	givenJSON struct {
		Name  string `json:"name"`
		Value any    `json:"value"`
		Unit  string `json:"unit"`
		From  Origin `json:"from"`
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
		Working: list(a.Working), Assumed: list(a.Assumed), Sources: list(a.Sources), Cautions: list(a.Cautions), Read: list(a.Read), Notes: list(a.Notes),
		Need: list(a.Need), Error: a.Error}
	for i := range a.Inputs {
		g := &a.Inputs[i]
		switch g.Kind {
		case LengthValue:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, g.Length.MM(), "mm", g.From})
		case AngleValue:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, float64(g.Angle), "deg", g.From})
		case NumberValue:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, g.Number, g.Unit, g.From})
		default:
			j.Inputs = append(j.Inputs, givenJSON{g.Name, g.Word, "", g.From})
		}
	}
	for i := range a.Results {
		r := &a.Results[i]
		switch r.Kind {
		case AngleValue:
			j.Results = append(j.Results, resultJSON{r.Name, float64(r.Angle.Tenth()), thousandths(float64(r.Angle)), "deg", r.Shown})
		case TruthValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Truth, r.Truth, "", r.Shown})
		case WordValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Word, r.Word, "", r.Shown})
		case NumberValue:
			j.Results = append(j.Results, resultJSON{r.Name, r.Number, thousandths(r.Exact), r.Unit, r.Shown})
		default:
			j.Results = append(j.Results, resultJSON{r.Name, r.Length.SetOut.MM(), thousandths(r.Length.Exact.MM()), "mm", r.Shown})
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
		return c.Source
	}
	return c.Source + " (" + c.Note + ")"
}

// list returns s, empty rather than absent.
func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func thousandths(x float64) float64 { return math.Round(x*1000) / 1000 }
