package talk_test

import (
	"slices"
	"strings"
	"testing"
)

// What people type in several lines: an order a line is done each by itself, and a
// second line that begins none belongs to the first.
func TestLines(t *testing.T) {
	tests := []struct {
		said []string
		want []string // in what is said last, or stands in the door's log
		not  string
	}{
		{[]string{"snag glass scratched\nhandle loose by 2020-01-01", "2027-03-05", "snags"}, []string{"glass scratched handle loose", "2027-03-05"}, "don't know"},
		{[]string{"tick 2\nlooks good to me", "list"}, []string{"[x] 2 datum"}, "no item"},
		{[]string{"tick 4.\ntick 5\nthen tick 6", "list"}, []string{"[x] 4 joint", "[x] 5 carrier", "[x] 6 room"}, "no item"},
		{[]string{"tick 5", "untick 5\nbecause wrong", "list"}, []string{"[ ] 5 carrier"}, "no item"},
		{[]string{"tick 5", "untick 5 because the carrier was wrong. tick 6"}, []string{"(1) each by itself", "| tick 6"}, "open again"},
		{[]string{"tick 5", "untick 5 because the carrier was wrong. tick 6", "1", "list"}, []string{"[ ] 5 carrier", "[x] 6 room"}, "no item"},
		{[]string{"snag loose", "snag cracked", "close s1 glued, close s2 filled", "1", "snags"}, []string{"open snags at 0 doors"}, "no snag"},
		{[]string{"read plumb 2 note by laser; tick 4"}, []string{"(1) each by itself"}, "is in"},
	}
	for _, tt := range tests {
		t.Run(tt.said[0], func(t *testing.T) {
			o := newOffice(t)
			o.open("D-1", "screed", "ana")
			var all strings.Builder
			last := ""
			for _, text := range tt.said {
				last = ""
				for _, p := range o.say("ana", "D-1", text) {
					last += p.Text + "\n"
				}
				all.WriteString(last)
			}
			for _, want := range tt.want {
				if !strings.Contains(last, want) {
					t.Errorf("got %q, want %q in it", last, want)
				}
			}
			if strings.Contains(all.String(), tt.not) {
				t.Errorf("got %q, want no %q", all.String(), tt.not)
			}
		})
	}
}

// A message of several orders is dealt with again if the process dies before all
// that was said of it is posted: then the same is said, and nothing is done twice.
func TestLines_again(t *testing.T) {
	o := newOffice(t)
	o.open("D-1", "screed", "ana")
	o.say("ana", "D-1", "tick 2")
	for _, said := range [][]string{
		{"tick 4; tick 2; tick 5"},
		{"tick 2; photo opening.jpg"},
		{"snag loose, tick 6", "1"},
	} {
		for _, text := range said[:len(said)-1] {
			o.say("ana", "D-1", text)
		}
		m := o.message("ana", "D-1", said[len(said)-1])
		var first []string
		for try := range 2 {
			posts, settled, err := o.bot.Hear(o.ctx, m)
			if err != nil || settled {
				t.Fatalf("%q: settled %v before what was said of it is posted, %v", m.Text, settled, err)
			}
			var all []string
			for _, p := range posts {
				all = append(all, p.Text)
			}
			if try == 0 {
				first = all
			} else if !slices.Equal(all, first) {
				t.Errorf("%q again: got %q, want %q", m.Text, all, first)
			}
		}
		o.settle(nil, nil)
	}
	log, err := o.store.Log(o.ctx, "orchard-lane/D-1", 0, 100)
	if err != nil || len(log) != 7 {
		t.Errorf("the log has %d entries, want opened, 5 ticks and photo, and a snag: %v", len(log), err)
	}
}
