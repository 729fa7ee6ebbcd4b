package talk_test

import (
	"strings"
	"testing"

	"heelpost/bot/order"

	"pgregory.net/rapid"
)

// Whatever stands behind an order, or is a slip of one, is answered in words.
func TestOrders_Any(t *testing.T) {
	o := newOffice(t)
	o.open("A-1", "screed", "ana")
	var words, behind []string
	for _, one := range order.All() {
		words = append(words, one.Words...)
		behind = append(behind, strings.Fields(one.Usage)...)
	}
	behind = append(behind, "the", "a", "@", "@zoe", "because", "none", "9", "-1", "v1", "s1", "1,200", "99999999999999999999", "x", "=", ",", "°", "½", "\"", "yes", "to", "of", "until")
	rapid.Check(t, func(rt *rapid.T) {
		word := rapid.SampledFrom(words).Draw(rt, "order")
		if rapid.Bool().Draw(rt, "slip") {
			i := rapid.IntRange(0, len(word)-1).Draw(rt, "at")
			word = word[:i] + rapid.SampledFrom([]string{"", "e", "ss"}).Draw(rt, "for") + word[i+1:]
		}
		text := word + " " + strings.Join(rapid.SliceOfN(rapid.SampledFrom(behind), 0, 4).Draw(rt, "behind"), " ")
		who := rapid.SampledFrom([]string{"ana", "mo", "zoe"}).Draw(rt, "who")
		thread := rapid.SampledFrom([]string{"A-1", "A-2", ""}).Draw(rt, "thread")
		if posts := o.say(who, thread, text); len(posts) == 0 {
			rt.Fatalf("%s #%s> %q: no word", who, thread, text)
		}
	})
}
