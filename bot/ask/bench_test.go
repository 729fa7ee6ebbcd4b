package ask_test

import (
	"testing"

	"heelpost/bot/verb"
)

const shortQuery = "gap thickness 46 setback 75mm"

func BenchmarkParse(b *testing.B) { verb.Questions.RepeatParse(b, shortQuery) }

// BenchmarkAnswer is the whole way from the text to its answer as text.
func BenchmarkAnswer(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if verb.Questions.Ask(shortQuery, nil).Text().String() == "" {
			b.Fatal("nothing was said")
		}
	}
}
