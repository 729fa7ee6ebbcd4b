package bot

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

// pageSize is how many lines a list shows at once.
const pageSize = 20

func readEvents(data []byte) (events []jobs.Event, err error) {
	err = json.Unmarshal(data, &events)
	return events, err
}

// board shows the site by stage, or the doors that a filter leaves.
func (e *errand) board(text string) error {
	fields, page := pageOf(strings.Fields(text))
	filter := strings.Join(fields, " ")
	if filter == "" {
		lines, err := e.desk.stages(e.ctx, e.site, page, e.msg.At)
		if err == nil {
			e.say(KindBoard, strings.Join(lines, "\n"))
		}
		return err
	}
	return e.index(e.filterIndex(filter), "board "+filter, page)
}

// filterIndex returns the index that a word of the board names.
func (e *errand) filterIndex(filter string) string {
	kind, name, two := strings.Cut(strings.ToLower(filter), " ")
	switch lower := strings.ToLower(filter); {
	case two && kind == "crew":
		return "crew/" + e.crew(name)
	case two && (kind == "floor" || kind == "stage"):
		return kind + "/" + name
	case isStage(lower):
		return "stage/" + lower
	case lower == "hand over":
		return "stage/" + string(jobs.Handing)
	case lower == "done":
		return "stage/" + string(jobs.Done)
	}
	if crew := e.crew(filter); crew != "" {
		return "crew/" + crew
	}
	for _, p := range e.site.People {
		if p.ID == strings.TrimPrefix(filter, "@") {
			return "person/" + p.ID
		}
	}
	return "group/" + group(strings.ToUpper(filter))
}

// crew returns a crew of the site as its file has it, "" if there is none of
// that name.
func (e *errand) crew(name string) string {
	for _, p := range e.site.People {
		if p.Crew != "" && strings.EqualFold(p.Crew, name) {
			return p.Crew
		}
	}
	return ""
}

func isStage(s string) bool {
	for _, stage := range jobs.Stages {
		if string(stage) == s {
			return true
		}
	}
	return false
}

// stages tells how many doors are in each stage, and the doors themselves, a
// page of each. Of those handed over it names only the ones with a visit or a
// snag, which come first.
func (d *Desk) stages(ctx context.Context, site *jobs.Site, page int, now time.Time) ([]string, error) {
	lines := []string{"board of " + site.Name}
	for _, stage := range jobs.Stages {
		list, total, err := d.store.Doors(ctx, site.ID+"/stage/"+string(stage), (page-1)*perStage, perStage)
		if err != nil {
			return nil, err
		}
		if total == 0 {
			continue
		}
		lines = append(lines, fmt.Sprintf("%s: %d", stage, total))
		for _, rec := range list {
			j, err := d.open(ctx, rec)
			if err != nil {
				return nil, err
			}
			if stage == jobs.Done && !unsettled(&j.door) {
				total = 0 // no more to name
				break
			}
			lines = append(lines, "  "+j.boardLine(now))
		}
		if shown := page * perStage; total > shown {
			lines = append(lines, fmt.Sprintf("  and %d more: board %s, board %d", total-shown, stage, page+1))
		}
	}
	if len(lines) == 1 {
		lines = append(lines, "no door is open yet; door open begins one")
	}
	failed, err := d.failedAt(ctx, site)
	if err == nil && len(failed) > 0 {
		lines = append(lines, fmt.Sprintf("%d reminders could not be posted: failed lists them", len(failed)))
	}
	return lines, err
}

// unsettled reports whether a door has a visit planned or a snag open.
func unsettled(d *jobs.Door) bool { return len(d.Planned())+len(d.OpenSnags()) > 0 }

// count tells how many there are of something.
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// perStage is how many doors of a stage the board shows at once.
const perStage = 5

// boardLine tells where a door stands and what holds it.
func (j *job) boardLine(now time.Time) string {
	return j.door.Spec.ID + ": " + j.standing(now)
}

// standing is a board's line without the door's id.
func (j *job) standing(now time.Time) string {
	d, line := &j.door, j.waits()
	if j.curing() {
		line += " · " + j.cureText(now)
	}
	if planned := d.Planned(); len(planned) > 0 {
		word := "visit"
		if planned[0].At.Before(now) {
			word = "visit overdue"
		}
		line += " · " + word + " " + said(planned[0].At, j.site)
	}
	if n := len(d.OpenSnags()); n > 0 {
		line += " · " + count(n, "snag")
	}
	return line
}

// waits tells shortly what comes next at a door, and what was passed over.
func (j *job) waits() string {
	items, i, passed := j.upcoming()
	switch {
	case i < 0 && j.door.Handover.IsZero():
		return "hand over"
	case i < 0:
		return "handed over"
	}
	if open := jobs.Holds(items, items[i].Stage); len(open) > 0 {
		return "held by " + j.item(open[0].ID)
	}
	text := fmt.Sprintf("%d %s", i+1, items[i].ID)
	if items[i].Hold {
		text += " (hold)"
	}
	if len(passed) > 0 {
		text += " · still open " + strings.Join(passed, ", ")
	}
	return text
}

// index shows a page of the doors in one of the site's sets.
func (e *errand) index(name, title string, page int) error {
	list, total, err := e.desk.store.Doors(e.ctx, e.site.ID+"/"+name, (page-1)*pageSize, pageSize)
	if err != nil {
		return err
	}
	lines := []string{title + ": " + count(total, "door")}
	for _, rec := range list {
		j, err := e.desk.open(e.ctx, rec)
		if err != nil {
			return err
		}
		lines = append(lines, j.boardLine(e.msg.At))
	}
	if total == 0 && strings.HasPrefix(name, "group/") {
		lines = append(lines, "it takes a stage, a crew, floor and a floor, a person, or the front of ids up to their last number, as A-")
	}
	if page*pageSize < total {
		lines = append(lines, fmt.Sprintf("more: %s %d", title, page+1))
	}
	e.say(KindBoard, strings.Join(lines, "\n"))
	return nil
}

func (e *errand) mine(text string) error {
	_, page := pageOf(strings.Fields(text))
	return e.index("person/"+e.msg.Person, "doors mine", page)
}

func (e *errand) snags(text string) error {
	_, page := pageOf(strings.Fields(text))
	list, total, err := e.desk.store.Doors(e.ctx, e.site.ID+"/snags", (page-1)*pageSize, pageSize)
	if err != nil {
		return err
	}
	lines := []string{"open snags at " + count(total, "door")}
	for _, rec := range list {
		j, err := e.desk.open(e.ctx, rec)
		if err != nil {
			return err
		}
		for _, s := range j.door.OpenSnags() {
			lines = append(lines, fmt.Sprintf("%s %s: %s, @%s, since %s", j.door.Spec.ID, s.ID, s.Text, s.Owner, said(s.Opened, j.site)))
		}
	}
	if page*pageSize < total {
		lines = append(lines, fmt.Sprintf("and at %d more: snags %d", total-page*pageSize, page+1))
	}
	e.say(KindBoard, strings.Join(lines, "\n"))
	return nil
}
