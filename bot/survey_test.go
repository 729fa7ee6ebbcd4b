package bot

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heelpost/jobs"
)

// What is not understood of any description can be cut out of it part by
// part, until the rest is understood.
func TestReadSurvey_Any(t *testing.T) {
	o := newOffice(t)
	names := o.desk.names(o.site)
	said := strings.Fields(`1050x2350x44 1050 x 65 88kg 14 stone setback setbak 1,200 opening height width floor flor screed concrete sheet shet orchard crew forman @ana @zoe
		ana heated heatd seen from the corridor evidence heel lead 4 report , = ; no both ways one way left fire ordinry cover over pipe mass weight weighed purple @ " 1/2 in`)
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(said), 0, 14).Draw(t, "said"), rapid.SampledFrom([]string{" ", ", "}).Draw(t, "between"))
		for left := len(lex(text, nil)); ; left-- {
			s, err := readSurvey(text, new(jobs.Spec), names)
			if err == nil {
				return
			}
			p, ok := errors.AsType[*part](err)
			if !ok || p.from < 0 || p.to > len(s.text) || p.from >= p.to || left == 0 {
				t.Fatalf("%q: %v", s.text, err)
			}
			text = s.text[:p.from] + s.text[p.to:]
		}
	})
}
