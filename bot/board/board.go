// Package board shows many doors at once: the board by stage, the agenda, the
// morning digest, a person's home, and the top post of one door among others.
package board

import (
	"context"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Stages tells how many doors are in each stage, and the doors themselves, a
// page of each. Of those handed over it names only the ones with a visit or a
// snag, which come first.
func Stages(ctx context.Context, d *desk.Desk, site *jobs.Site, page int, now time.Time) (say.Text, error) {
	lines := []say.Text{say.F("board of %s", site.Name)}
	for _, stage := range jobs.Stages {
		list, total, err := d.Doors(ctx, site, "stage/"+string(stage), (page-1)*perStage, perStage)
		if err != nil {
			return say.Text{}, err
		}
		if total == 0 {
			continue
		}
		lines = append(lines, say.F("%s: %s", say.Name(string(stage)), total))
		for _, j := range list {
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
	if len(lines) == 1 {
		lines = append(lines, say.F("no door is open yet; door open begins one"))
	}
	failed, err := d.FailedAt(ctx, site)
	if err == nil && len(failed) > 0 {
		lines = append(lines, say.F("%s reminders could not be posted: failed lists them", len(failed)))
	}
	return say.Lines(lines...), err
}

// perStage is how many doors of a stage the board shows at once.
const perStage = 5
