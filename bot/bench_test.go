package bot

import "testing"

const shortQuery = "gap thickness 46 setback 75mm"

func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		p := parsers.Get().(*parser)
		if _, d := p.parse(shortQuery, nil); d != nil {
			b.Fatal(d.say)
		}
		parsers.Put(p)
	}
}

// BenchmarkAnswer is the whole way from the text to its answer as text.
func BenchmarkAnswer(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if Ask(shortQuery).Text() == "" {
			b.Fatal("nothing was said")
		}
	}
}
