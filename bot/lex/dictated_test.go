package lex_test

import (
	"testing"

	"heelpost/bot/lex"
)

// A number that is dictated at the front of a text is that in figures, where it
// can be one only; all else stays.
func TestDictated(t *testing.T) {
	for text, want := range map[string]string{
		"nine":                     "9",
		"minus two":                "-2",
		"minus 2":                  "-2",
		"twenty one degrees":       "21 degrees",
		"twenty-one":               "21",
		"three point five m/s":     "3.5 m/s",
		"two point five":           "2.5",
		"eight left":               "8 left",
		"a hundred":                "a hundred",
		"hundred and six":          "106",
		"two metres":               "2 metres",
		"nine to ten":              "9 to ten",
		"eight nine":               "eight nine",
		"fifty four sixty":         "fifty four sixty",
		"half past seven":          "half past seven",
		"three eighths of an inch": "three eighths of an inch",
		"seven and a half":         "seven and a half",
		"14 min eight":             "14 min eight",
		"minus the packer":         "minus the packer",
		"":                         "",
		"one":                      "1",
		"zero":                     "0",
		"the left one":             "the left one",
		"three point":              "three point",
	} {
		if got := lex.Dictated(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
