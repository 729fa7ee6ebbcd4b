package talk_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"heelpost/bot/desk"
	"heelpost/jobs"
)

// counted counts the doors that are read from sets.
type counted struct {
	jobs.Store
	doors int
}

func (c *counted) Doors(ctx context.Context, index string, from, count int) ([]jobs.Record, int, error) {
	list, total, err := c.Store.Doors(ctx, index, from, count)
	c.doors += len(list)
	return list, total, err
}

// Every visit stands on one page of the agenda, also where a door has several
// and there are more doors than a page holds; and of many doors only the
// first are read.
func TestAgenda_Pages(t *testing.T) {
	o := newOffice(t)
	const doors = 150
	for i := range doors {
		id := fmt.Sprintf("D-%d", i+1)
		o.open(id, "screed", "ana")
		o.say("ana", id, fmt.Sprintf("visit 2027-03-0%d %02d:%02d", 2+i/100, 7+i%100/20, i%20))
		if i < 3 {
			o.say("ana", id, "visit 2027-03-05 10:00 to look again")
		}
	}
	count := &counted{Store: o.store}
	o.work(count)
	seen := map[string]bool{}
	for page := 1; page <= 8; page++ {
		count.doors = 0
		lines := strings.Split(o.say("ana", "", fmt.Sprintf("week %d", page))[0].Text, "\n")
		if most := page*desk.PageSize + 100 + desk.PageSize; count.doors > most {
			t.Errorf("page %d: %d doors were read, more than %d", page, count.doors, most)
		}
		more := ""
		if last := lines[len(lines)-1]; strings.HasPrefix(last, "and ") {
			more, lines = last, lines[:len(lines)-1]
		}
		want := map[int]string{1: "and over 100 more: week 2", 2: "and over 100 more: week 3", 3: "and 93 more: week 4", 7: "and 13 more: week 8", 8: ""}
		if text, ok := want[page]; ok && more != text {
			t.Errorf("page %d: %q, want %q", page, more, text)
		}
		for _, line := range lines[1:] {
			if seen[line] {
				t.Errorf("page %d: %q stands twice", page, line)
			}
			seen[line] = true
		}
	}
	if len(seen) != doors+3 {
		t.Errorf("%d visits on all pages, want %d", len(seen), doors+3)
	}
	for text, want := range map[string]string{"week 9": "nothing stands on this page", "week 51": "no more than 50 pages", "today": "nothing is planned"} {
		if got := o.say("ana", "", text)[0].Text; !strings.Contains(got, want) {
			t.Errorf("%s: got %q, want %q in it", text, got, want)
		}
	}
}

// No snag is left out for the door's place in the list.
func TestSnags_Pages(t *testing.T) {
	o := newOffice(t)
	for i := range desk.PageSize + 2 {
		id := fmt.Sprintf("D-%d", i+1)
		o.open(id, "screed", "ana")
		o.say("ana", id, "snag scratch on the leaf")
	}
	first, second := o.say("ana", "", "snags")[0].Text, o.say("ana", "", "snags 2")[0].Text
	if !strings.HasSuffix(first, "and at 2 more: snags 2") || strings.Count(first, "scratch")+strings.Count(second, "scratch") != desk.PageSize+2 {
		t.Errorf("got\n%s\n%s", first, second)
	}
}
