package lex

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var outside = flag.String("outside", "", "file to write numbers with units to, as they are read, for .ci/outside/units.mjs")

// TestOutside writes what numbers with a unit are read as, to be held against a
// general library of units.
func TestOutside(t *testing.T) {
	type read struct {
		Text, Number, Unit, As string
		Value                  float64
	}
	var all []read
	for i := range units {
		u := &units[i]
		if u.unit == Bare {
			continue
		}
		for _, name := range strings.Fields(u.names) {
			for _, n := range []string{"1", "2.5", "0.375", "12", "37.25", "86"} {
				text := n + " " + name
				tokens := Join(text, Lex(text, nil), func(string) bool { return false }, func([]Token) bool { return false })
				if len(tokens) != 1 || tokens[0].Kind != NumberToken {
					continue // the unit is a word of its own where no question takes it
				}
				num := tokens[0].Num
				if num.Unit != Bare && num.Unit < Degrees {
					all = append(all, read{text, n, name, "nm", float64(num.Length)})
				} else {
					all = append(all, read{text, n, name, fmt.Sprint(num.Unit), num.Plain})
				}
			}
		}
	}
	if len(all) < 200 {
		t.Fatalf("got %d numbers, want 200 at least", len(all))
	}
	if *outside == "" {
		return
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*outside, data, 0o666); err != nil {
		t.Fatal(err)
	}
}
