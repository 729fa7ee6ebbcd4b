// Package board shows many doors at once: the board by stage, the agenda, the
// morning digest, a person's home, and the top post of one door among others.
package board

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"time"
	"unicode/utf8"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// What a phone shows at once: so many lines of so many characters.
const (
	PhoneLines = 12
	phoneWidth = 42
)

// View is a board: its lines, and what goes on from it.
type View struct {
	Lines   []say.Text
	Buttons []bot.Button
	Picture *draw.Drawing
	Table   *bot.Table // all its doors
	rest    int        // lines of a phone that are left
}

// Ranked returns the doors in one of a site's sets that are wanted: those that
// are held first, then those with a visit or a snag overdue, curing ones, those with
// snags and the others, each by stage, and those that are done.
func Ranked(ctx context.Context, d *desk.Desk, site *jobs.Site, set string, now time.Time, wanted func(*jobs.Job) bool) ([]*jobs.Job, error) {
	var all []*jobs.Job
	for j, err := range d.Each(ctx, site, set) {
		if err != nil {
			return nil, err
		}
		if wanted(j) {
			all = append(all, j)
		}
	}
	slices.SortStableFunc(all, func(a, b *jobs.Job) int {
		return cmp.Or(cmp.Compare(tell.StandingOf(a, now).Rank(), tell.StandingOf(b, now).Rank()),
			cmp.Compare(slices.Index(jobs.Stages, a.Door.Stage), slices.Index(jobs.Stages, b.Door.Stage)),
			jobs.CompareIDs(a.Door.Spec.ID, b.Door.Spec.ID))
	})
	return all, nil
}

// Whole tells how many doors of a site are in each stage and what of them wants
// to be seen to; then the doors in work, as many as go into so many lines of a
// phone. It has a picture.
func Whole(ctx context.Context, d *desk.Desk, site *jobs.Site, lines int, now time.Time) (*View, error) {
	all, err := Ranked(ctx, d, site, "all", now, func(*jobs.Job) bool { return true })
	if err != nil {
		return nil, err
	}
	failed, err := d.FailedAt(ctx, site)
	if err != nil {
		return nil, err
	}
	v := &View{rest: lines}
	v.add(say.F("board of %s", site.Name))
	v.Lines = append(v.Lines, onLeave(site, now)...) // it takes no door's place
	if len(all) == 0 {
		v.add(say.F("no door is open yet; door open begins one"))
	} else {
		v.add(totals(all, now)...)
		v.Picture = picture(site, all, now)
	}
	if len(failed) > 0 {
		v.add(say.Count(len(failed), "1 reminder could not be posted: failed lists it", "%s reminders could not be posted: failed lists them"))
	}
	v.Table = Table(d.Language, v.Lines, all, func(j *jobs.Job) say.Text { return inset(j, now) }, now)
	v.doors(d.Language, slices.DeleteFunc(all, func(j *jobs.Job) bool { return tell.StandingOf(j, now).Off }), now)
	return v, nil
}

// add adds lines.
func (v *View) add(lines ...say.Text) {
	for _, l := range lines {
		v.Lines = append(v.Lines, l)
		v.rest -= height(l)
	}
}

// height returns how many lines of a phone a text takes.
func height(t say.Text) int {
	return (utf8.RuneCountInString(t.String()) + phoneWidth - 1) / phoneWidth
}

// doors adds a line for each of the doors, as long as there is room, and where
// the rest of them stands.
func (v *View) doors(in *say.Language, list []*jobs.Job, now time.Time) {
	for i, j := range list {
		line := inset(j, now)
		left := v.rest - height(line)
		if left < mostNamed { // what stands for the rest takes room too
			for _, l := range trouble(list[i+1:], now) {
				left -= height(l)
			}
		}
		if left < 0 || left == 0 && i+1 < len(list) {
			v.add(trouble(list[i:], now)...)
			v.add(say.F("and %s more: board all", len(list)-i))
			v.Buttons = append(v.Buttons, bot.Button{Label: in.Say(say.F("More")), Say: "board all"})
			return
		}
		v.add(line)
	}
}

// trouble names those of the doors that have no line of their own and want to be
// seen to today: none of them is lost behind a number.
func trouble(list []*jobs.Job, now time.Time) (lines []say.Text) {
	var loose, held, overdue []string
	for _, j := range list {
		switch s := tell.StandingOf(j, now); {
		case s.Loose:
			loose = append(loose, j.Door.Spec.ID)
		case s.Held:
			held = append(held, j.Door.Spec.ID)
		case s.Overdue:
			overdue = append(overdue, j.Door.Spec.ID)
		}
	}
	if len(loose) > 0 {
		lines = append(lines, say.F("also unsecured: %s", say.Names(", ", loose...)))
	}
	if len(held) > 0 {
		lines = append(lines, say.F("also held: %s", say.Names(", ", held...)))
	}
	if len(overdue) > 0 {
		if more := len(overdue) - mostNamed; more > 0 {
			lines = append(lines, say.F("also overdue: %s and %s more", say.Names(", ", overdue[:mostNamed]...), strconv.Itoa(more)))
		} else {
			lines = append(lines, say.F("also overdue: %s", say.Names(", ", overdue...)))
		}
	}
	return lines
}

// mostNamed is how many doors are named that have no line of their own: what a
// phone shows in two.
const mostNamed = 6

// inset is a door's line under what stands above it.
func inset(j *jobs.Job, now time.Time) say.Text { return say.F("  %s", tell.BoardLine(j, now)) }

// totals tells how many doors there are in each stage, and in what.
func totals(all []*jobs.Job, now time.Time) []say.Text {
	var stages []say.Text
	for _, stage := range jobs.Stages {
		n := 0
		for _, j := range all {
			if j.Door.Stage == stage {
				n++
			}
		}
		if n > 0 {
			stages = append(stages, say.F("%s %s", say.Name(string(stage)), n))
		}
	}
	var held, overdue, curing, snags int
	for _, j := range all {
		s := tell.StandingOf(j, now)
		held, overdue, curing, snags = held+one(s.Held), overdue+one(s.Overdue), curing+one(s.Curing), snags+one(s.Snags > 0)
	}
	var states []say.Text
	for _, s := range []struct {
		n    int
		text say.Text
	}{
		{held, say.F("%s held", held)}, {overdue, say.F("%s overdue", overdue)}, {curing, say.F("%s curing", curing)}, {snags, say.F("%s with snags", snags)},
	} {
		if s.n > 0 {
			states = append(states, s.text)
		}
	}
	return []say.Text{say.F("%s: %s", say.Count(len(all), "1 door", "%s doors"), say.List(stages...)), say.List(states...)}
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
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

// picture draws the doors by stage.
func picture(site *jobs.Site, all []*jobs.Job, now time.Time) *draw.Drawing {
	strip := draw.Strip{Site: site.Name}
	for _, stage := range jobs.Stages {
		s := draw.StripStage{Name: say.Name(string(stage))}
		for _, j := range all {
			if j.Door.Stage != stage {
				continue
			}
			if s.Total++; s.Total <= perStrip {
				in := tell.StandingOf(j, now)
				s.Doors = append(s.Doors, draw.StripDoor{ID: j.Door.Spec.ID, Held: in.Held, Overdue: in.Overdue})
			}
		}
		if s.Total > 0 {
			strip.Stages = append(strip.Stages, s)
		}
	}
	return strip.Drawing()
}

// perStrip is how many doors of a stage the picture of the board shows.
const perStrip = 11
