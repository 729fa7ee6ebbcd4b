package order_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"heelpost/bot/order"
	"heelpost/bot/say"
)

// before is what an order was kept as before its text was, as a replica of that
// version reads it.
type before struct {
	Text   string   `json:"text"`
	Offers []string `json:"offers"`
	Order  bool     `json:"order"`
	Before string   `json:"before"`
	After  string   `json:"after"`
	Ask    string   `json:"ask"`
	Part   bool     `json:"part"`
	Who    bool     `json:"who"`
	Guess  string   `json:"guess"`
}

// What was kept before is read, and what is kept now is read by those that
// know no texts: a restart loses no question.
func TestUnfinished_kept(t *testing.T) {
	for old, want := range map[string]order.Unfinished{
		`{"text":"door open A-1 1050x2350x44","order":true,"before":"setback","ask":"door A-1: the setback"}`: {
			Text: "door open A-1 1050x2350x44", Before: "setback", Question: say.Plain("door A-1: the setback")},
		`{"text":"door A-101 snag scratch","order":true,"ask":"a snag has one owner: @ana or @bo?","who":true}`: {
			Text: "door A-101 snag scratch", Question: say.Plain("a snag has one owner: @ana or @bo?"), Who: true},
		`{"text":"","offers":["door A-1 done v1","door A-1 done v2"],"order":true,"ask":"which one?"}`: {
			Offers: []string{"door A-1 done v1", "door A-1 done v2"}, Question: say.Plain("which one?")},
		`{"text":"door open A-1","order":true,"before":"latch","after":" x","ask":"?","part":true,"guess":"latch"}`: {
			Text: "door open A-1", Before: "latch", After: " x", Question: say.Plain("?"), Part: true, Guess: "latch"},
	} {
		got := order.Unmarshal([]byte(old))
		if diff := cmp.Diff(&want, got, cmp.Comparer(sameText)); diff != "" {
			t.Fatalf("%s (-want +got):\n%s", old, diff)
		}
		got.Question = say.F("door %s: %s", "A-1", say.F("the setback"))
		kept := got.Marshal()
		var was, is before
		for data, into := range map[string]*before{old: &was, string(kept): &is} {
			if err := json.Unmarshal([]byte(data), into); err != nil {
				t.Fatal(err)
			}
		}
		was.Ask = "door A-1: the setback"
		if diff := cmp.Diff(was, is); diff != "" {
			t.Errorf("as it was read before (-want +got):\n%s", diff)
		}
		if diff := cmp.Diff(got, order.Unmarshal(kept), cmp.Comparer(sameText)); diff != "" {
			t.Errorf("kept and read (-want +got):\n%s", diff)
		}
	}
	for _, none := range []string{"", "no JSON", `{"text":"gap 46","verb":"gap","need":["setback"]}`} {
		if got := order.Unmarshal([]byte(none)); got != nil {
			t.Errorf("%q is taken for an order that waits: %+v", none, got)
		}
	}
}

// sameText reports whether two texts say the same in every language.
func sameText(a, b say.Text) bool {
	one, _ := json.Marshal(a)
	other, _ := json.Marshal(b)
	return string(one) == string(other)
}
