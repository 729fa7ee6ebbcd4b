// Package board shows many doors at once: the board by stage, the agenda, the
// morning digest, a person's home, and the top post of one door among others.
package board

import (
	"context"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Stages tells how many doors are in each stage, and the doors themselves, a
// page of each. Of those handed over it names only the ones with a visit or a
// snag, which come first. The first page has a picture.
func Stages(ctx context.Context, d *desk.Desk, site *jobs.Site, page int, now time.Time) (say.Text, *draw.Drawing, error) {
	lines := append([]say.Text{say.F("board of %s", site.Name)}, onLeave(site, now)...)
	strip := draw.Strip{Site: site.Name}
	read := perStage
	if page == 1 {
		read = perStrip
	}
	for _, stage := range jobs.Stages {
		list, total, err := d.Doors(ctx, site, "stage/"+string(stage), (page-1)*perStage, read)
		if err != nil {
			return say.Text{}, nil, err
		}
		if total == 0 {
			continue
		}
		strip.Stages = append(strip.Stages, drawn(stage, list, total, now))
		lines = append(lines, say.F("%s: %s", say.Name(string(stage)), total))
		for _, j := range list[:min(len(list), perStage)] {
			if stage == jobs.Done && !jobs.Unsettled(&j.Door) {
				total = 0 // no more to name
				break
			}
			lines = append(lines, say.F("  %s", tell.BoardLine(j, now)))
		}
		if shown := page * perStage; total > shown {
			lines = append(lines, say.F("  and %s more: board %s, board %s", total-shown, string(stage), page+1))
		}
	}
	if len(strip.Stages) == 0 {
		lines = append(lines, say.F("no door is open yet; door open begins one"))
	}
	failed, err := d.FailedAt(ctx, site)
	if err == nil && len(failed) > 0 {
		lines = append(lines, say.F("%s reminders could not be posted: failed lists them", len(failed)))
	}
	if page > 1 || len(strip.Stages) == 0 {
		return say.Lines(lines...), nil, err
	}
	return say.Lines(lines...), strip.Drawing(), err
}

// onLeave tells who of a site is away, and who stands in.
func onLeave(site *jobs.Site, now time.Time) (lines []say.Text) {
	for i := range site.Leave {
		if l := &site.Leave[i]; site.Away(l.Who, now) == l {
			lines = append(lines, say.F("@%s is on leave until %s: @%s is told", l.Who, l.Last, site.Acting(l.Who, now)))
		}
	}
	return lines
}

// drawn is a stage as the picture of the board shows it.
func drawn(stage jobs.Stage, list []*jobs.Job, total int, now time.Time) draw.StripStage {
	s := draw.StripStage{Name: say.Name(string(stage)), Total: total}
	for _, j := range list {
		planned := j.Door.Planned()
		s.Doors = append(s.Doors, draw.StripDoor{ID: j.Door.Spec.ID, Held: tell.IsHeld(j), Overdue: len(planned) > 0 && planned[0].At.Before(now)})
	}
	return s
}

// perStrip is how many doors of a stage the picture of the board shows.
const perStrip = 11

// perStage is how many doors of a stage the board shows at once.
const perStage = 5
