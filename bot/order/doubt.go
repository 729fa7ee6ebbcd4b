package order

import (
	"context"
	"slices"
	"strings"

	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// yesSo takes a plain yes at a door for the answer to whether a cold reading is so
// that nobody has answered yet: whoever was asked may have gone home. It sets no
// visit.
func (e *Request) yesSo(j *jobs.Job, text string) (done bool, err error) {
	if text != "" || len(j.Door.Doubts) == 0 || !j.Curing() {
		return false, nil
	}
	return true, e.answerDoubt(j, " is so")
}

// answerDoubt answers the one cold reading that a door asks about, and asks which
// one is meant of several.
func (e *Request) answerDoubt(j *jobs.Job, answer string) error {
	var ways []string
	for _, about := range j.Door.Doubts {
		ways = append(ways, tell.DoubtText(&about)+answer)
	}
	if len(ways) > 1 {
		return &choice{orders: ways}
	}
	return e.temperature(strings.TrimPrefix(ways[0], "temperature "))
}

// noSo takes a plain no at a door for the same; done is false if nothing is asked
// there.
func (e *Request) noSo(text string) (done bool, err error) {
	if e.DoorID == "" || e.Msg.Overheard || !slices.Contains(noes, strings.ToLower(strings.Trim(text, " .!\n"))) {
		return false, nil
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if err != nil || j == nil || len(j.Door.Doubts) == 0 || !j.Curing() {
		return false, err
	}
	return true, e.answerDoubt(j, " is not so")
}

// StillAsked returns what waits without the questions that somebody else has
// answered at their doors meanwhile.
func (u *Unfinished) StillAsked(ctx context.Context, d *desk.Desk, site *jobs.Site) (*Unfinished, error) {
	if u == nil || site == nil {
		return u, nil
	}
	then, err := u.Then.StillAsked(ctx, d, site)
	if err != nil {
		return nil, err
	}
	for _, id := range u.AtDoors {
		j, err := d.Find(ctx, jobs.DoorKey(site.ID, id))
		if err != nil {
			return nil, err
		}
		if j != nil && len(j.Door.Doubts) > 0 {
			one := *u
			one.Then = then
			return &one, nil
		}
	}
	if len(u.AtDoors) > 0 {
		return then, nil
	}
	u.Then = then
	return u, nil
}
