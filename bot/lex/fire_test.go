package lex

import (
	"strings"
	"testing"
)

// Every way to write a class is found, whatever is looked for before the patterns
// are: of those of EN 13501-2 and of the times that doors are labelled with.
func TestRated_found(t *testing.T) {
	var all []string
	for _, letters := range strings.Fields("ei EI1 ei2 ew rei fd FD fr frl frr") {
		for _, between := range []string{"", " ", "-", ":"} {
			for _, minutes := range strings.Fields("15 20 30 45 60 90 120 180 240") {
				all = append(all, letters+between+minutes, letters+between+minutes+" S", letters+between+minutes+"-sa")
			}
		}
	}
	for _, noun := range strings.Fields("fire smoke door Leaf rated rating label doorset resisting protection") {
		for _, minutes := range []string{"20 minute", "30-Minute", "30 min.", "ninety minutes", "45min", "60 mins"} {
			all = append(all, minutes+" "+noun)
		}
		for _, hours := range []string{"1 h", "1h", "half hour", "Half an hour", "one hour", "1 1/2 hours", "two hr", "3-hour", "2 hrs"} {
			all = append(all, hours+" "+noun, hours+"-"+noun)
		}
	}
	for _, class := range all {
		text := "gap 44 thick 65 setback, " + class + ", please"
		if got := rated(text); got == text || len(got) != len(text) {
			t.Errorf("%q is left as it is", class)
		}
	}
	for _, class := range []string{"t30", "T 60", "t-90", "T120", "t 30-RS"} {
		text := "gap 44 thick 65 setback, " + class
		if got := rated(text); got == text {
			t.Errorf("%q is left as it is", class)
		}
	}
}
