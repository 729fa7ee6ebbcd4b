package ask_test

import (
	"testing"

	"heelpost/bot/ask"
	"heelpost/bot/talk"
)

const shortQuery = "gap thickness 46 setback 75mm"

func BenchmarkParse(b *testing.B) { ask.RepeatParse(b, shortQuery) }

// BenchmarkAnswer is the whole way from the text to its answer as text.
func BenchmarkAnswer(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if talk.Ask(shortQuery).Text() == "" {
			b.Fatal("nothing was said")
		}
	}
}
