package lex

import (
	"strings"
)

// Nearest returns the one word of a dictionary that a word is at most so many
// slips from, with the same first letter; "" if there is none or more than one.
func Nearest(word string, dictionary map[string]bool, slips int) string {
	if slips == 0 || word == "" {
		return ""
	}
	return NearestOf(word, dictionary, slips, func(w string) bool { return w[0] == word[0] })
}

// SlipsIn returns how many slips a word may have and still be known.
func SlipsIn(word string) int {
	switch {
	case len(word) >= 8:
		return 2
	case len(word) >= 5:
		return 1
	}
	return 0
}

func NearestOf(word string, dictionary map[string]bool, slips int, may func(string) bool) string {
	best, found, unique := slips+1, "", false
	for w := range dictionary {
		if !may(w) || len(w) < 3 || len(w) > len(word)+slips || len(w) < len(word)-slips || !sameDigits(w, word) {
			continue
		}
		switch d := Distance(word, w); {
		case d < best:
			best, found, unique = d, w, true
		case d == best:
			unique = false
		}
	}
	if !unique {
		return ""
	}
	return found
}

// sameDigits reports whether two words have the same digits in the same order.
func sameDigits(a, b string) bool {
	for {
		i, j := strings.IndexAny(a, "0123456789"), strings.IndexAny(b, "0123456789")
		if i < 0 || j < 0 {
			return i == j
		}
		if a[i] != b[j] {
			return false
		}
		a, b = a[i+1:], b[j+1:]
	}
}

// longest is the most letters of a word that is looked at for slips.
const longest = 24

// Distance returns the number of slips between two words: the optimal string
// alignment distance.
func Distance(a, b string) int {
	if len(a) > longest || len(b) > longest {
		return longest
	}
	var rows [3][longest + 1]int
	for j := range len(b) + 1 {
		rows[1][j] = j
	}
	for i := 1; i <= len(a); i++ {
		two, one, row := &rows[(i-1+3)%3], &rows[i%3], &rows[(i+1)%3]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(row[j-1]+1, one[j]+1, one[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], two[j-2]+1)
			}
		}
	}
	return rows[(len(a)+1)%3][len(b)]
}

// Agrees reports whether a reply takes what was guessed.
func Agrees(reply string) bool {
	switch strings.ToLower(strings.Trim(reply, " \t\n.!,")) {
	case "yes", "y", "yep", "yes please", "ok", "right", "i did":
		return true
	}
	return false
}

// Words returns a snake_case name as words.
func Words(name string) string { return strings.ReplaceAll(name, "_", " ") }
