package web_test

import (
	"fmt"
	"slices"
	"strconv"
	"testing"
	"time"

	"heelpost/bot"
)

// BenchmarkFanOut tells how long it takes from a post until 50 open pages have
// it: the median and the 99th percentile of all pages and posts.
func BenchmarkFanOut(b *testing.B) {
	const pages = 50
	w := serve(b)
	w.say("ana", "", opening)
	got := make(chan time.Time, pages)
	for range pages {
		next := w.stream(w.as("bo", "events?page=door&door=A-101&after=99999999"), "")
		next() // retry
		next() // clock
		go func() {
			for next() != "" {
				got <- time.Now()
			}
		}()
	}
	var took []time.Duration
	n := 0
	for b.Loop() {
		n++
		p := bot.Post{ID: "bench:" + strconv.Itoa(n), At: begun, Channel: "doors-orchard-lane", Thread: "A-101", Kind: bot.KindAnswer,
			Text: fmt.Sprintf("board %d\n%0900d", n, n)}
		sent := time.Now()
		if _, err := w.room.Post(b.Context(), p); err != nil {
			b.Fatal(err)
		}
		for range pages {
			took = append(took, (<-got).Sub(sent))
		}
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "p99-ms")
}
