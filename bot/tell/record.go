package tell

import (
	"slices"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Record tells all that is on record of a door, as it is handed over on paper:
// what it is, its card, the checklist with who settled what, when and how, photos,
// snags, visits, and the log of all its changes.
func Record(j *jobs.Job, changes [][]jobs.Event, now time.Time) (lines []say.Text) {
	lines = append(lines, say.F("record of door %s, %s, as of %s", j.Door.Spec.ID, j.Site.Name, bot.Instant(now, j.Site)),
		say.F("stage: %s", say.Name(string(j.Door.Stage))), say.Of(Describe(&j.Door.Spec)))
	if !j.Door.Off.IsZero() {
		lines = append(lines, say.F("called off %s", bot.Instant(j.Door.Off, j.Site)))
	}
	lines = append(append(lines, Card(j)...), say.Text{}, say.F("checklist"))
	last := jobs.Stage("")
	for i, it := range j.Items() {
		if it.Stage != last {
			lines, last = append(lines, say.Name(string(it.Stage))), it.Stage
		}
		lines = append(lines, settledLine(j, i+1, &it))
	}
	all := Lasting(slices.Concat(changes...))
	add := func(title say.Text, part []say.Text) {
		if len(part) > 0 {
			lines = append(append(lines, say.Text{}, title), part...)
		}
	}
	var snags, visits []say.Text
	for i := range j.Door.Snags {
		snags = append(snags, snagRecord(&j.Door.Snags[i], j, now))
	}
	for i := range j.Door.Visits {
		visits = append(visits, VisitLine(&j.Door.Visits[i], j.Site, now))
	}
	photos, _ := PhotosOf(j, all)
	add(say.F("photos"), photos)
	add(say.F("snags"), snags)
	add(say.F("visits"), visits)
	add(say.F("log"), LogLines(j, changes))
	return lines
}

// settledLine is an item's line with who settled it, when, and what was said to
// it: why it was left out or overridden, how nothing was found.
func settledLine(j *jobs.Job, number int, it *jobs.Item) say.Text {
	line, s := ItemLine(number, it), &it.State
	if s.State == "" {
		return line
	}
	if s.State == jobs.Read && s.Value == nil {
		line = say.F("%s = nothing found", line)
	}
	return because(say.F("%s, @%s %s", line, s.By, bot.Instant(s.At, j.Site)), s.Text, s.Word)
}

// snagRecord tells a snag, also one that is closed.
func snagRecord(s *jobs.Snag, j *jobs.Job, now time.Time) say.Text {
	if s.Closed.IsZero() {
		return say.F("%s, open since %s", SnagLine(s, j, now), bot.Instant(s.Opened, j.Site))
	}
	line := say.List(say.F("%s %s, @%s since %s", s.ID, jobs.Recorded(s.Text), s.Owner, bot.Instant(s.Opened, j.Site)), Photos(s))
	return because(say.F("%s, closed %s", line, bot.Instant(s.Closed, j.Site)), s.Done)
}

// PhotosOf lists the photos among what lasts of a log, each with where it is kept,
// and those places.
func PhotosOf(j *jobs.Job, lasting []jobs.Event) (lines []say.Text, links []string) {
	for i := range lasting {
		e := &lasting[i]
		switch e.Kind {
		case jobs.Pictured:
			lines = append(lines, Photo(j, e))
		case jobs.SnagPictured:
			lines = append(lines, SnagPhoto(j, e))
		default:
			continue
		}
		for _, f := range e.Files {
			if f.Link != "" {
				lines, links = append(lines, say.Plain("  "+f.Link)), append(links, f.Link)
			}
		}
	}
	return lines, links
}

// LogLines tells all changes of a door in order, each with who and when.
func LogLines(j *jobs.Job, changes [][]jobs.Event) (lines []say.Text) {
	var before []jobs.Event
	for _, events := range changes {
		for i := range events {
			if text := Tell(j, &events[i], before); !text.IsZero() {
				lines = append(lines, say.F("%s @%s %s", bot.Instant(events[i].At, j.Site), events[i].By, text))
			}
		}
		before = events
	}
	return lines
}
