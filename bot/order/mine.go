package order

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// waitsForMe lists what waits for whoever asks: reminders to answer, snags to
// put right, and what at a door nobody else may settle.
func (e *Request) waitsForMe(string) error {
	var sets []string
	for _, who := range e.Site.StandsFor(e.Msg.Person, e.Msg.At) {
		sets = append(sets, "person/"+who, "person/"+who+"/visits")
	}
	sets = append(sets, "snags")
	if e.Site.Leads(e.Msg.Person) {
		sets = []string{"all"} // theirs is, too, what waits for those who have left
	}
	var late, rest []say.Text
	seen, told := map[string]bool{}, 0
	for _, set := range sets {
		for j, err := range e.Desk.Counted(e.Ctx, e.Site, set) {
			if err != nil {
				return err
			}
			if seen[j.Key] {
				continue
			}
			seen[j.Key] = true
			for _, w := range tell.Waits(j, e.Msg.Person, e.Msg.At) {
				if w.Told {
					told++
				}
				if w.Overdue {
					late = append(late, w.Text)
				} else {
					rest = append(rest, w.Text)
				}
			}
		}
	}
	lines := []say.Text{say.Count(len(late)+len(rest), "1 thing waits for you", "%s things wait for you")}
	switch n := len(late) + len(rest); {
	case told > 0 && told < n:
		lines[0] = say.F("%s, %s", lines[0], say.Count(told, "1 of them a reminder", "%s of them reminders"))
	case n == 0:
		lines[0] = say.F("nothing waits for you; what can I do now lists the work")
	}
	e.Say(bot.KindBoard, say.Lines(append(lines, cutLines(append(late, rest...))...)...))
	return nil
}

// cutLines leaves a page of lines, and says how many more there are.
func cutLines(lines []say.Text) []say.Text {
	if more := len(lines) - desk.PageSize; more > 0 {
		return append(lines[:desk.PageSize], say.F("and %s more", more))
	}
	return lines
}

// doNow lists what whoever asks can do now at their doors, and counts apart
// those where a hold or a cure is waited for.
func (e *Request) doNow(string) error {
	var can, held, cures, others []say.Text
	for j, err := range e.Desk.Counted(e.Ctx, e.Site, "person/"+e.Msg.Person) {
		if err != nil {
			return err
		}
		work := j.Work(e.Msg.Person, e.Msg.At)
		id := j.Door.Spec.ID
		switch {
		case work.Over && !j.Door.Handover.IsZero() || !j.Door.Off.IsZero():
		case work.Over:
			can = append(can, say.F("%s: hand over", id))
		case len(work.Now) > 0:
			can = append(can, tell.CanDo(j, work.Now))
		case !work.Cures.IsZero():
			cures = append(cures, say.F("%s until %s", id, bot.Instant(work.Cures, j.Site)))
		case len(work.Held) > 0:
			held = append(held, tell.HeldBy(j, work.Held))
		default:
			others = append(others, say.Plain(id))
		}
	}
	lines := []say.Text{say.Count(len(can), "you can go on at 1 door", "you can go on at %s doors")}
	if len(can)+len(held)+len(cures)+len(others) == 0 {
		lines[0] = say.F("no door of yours has anything to do; board shows the site's")
	}
	lines = append(lines, cutLines(can)...)
	for _, group := range []struct {
		what  say.Text
		doors []say.Text
	}{
		{say.Count(len(held), "1 waits for a hold", "%s wait for a hold"), held},
		{say.Count(len(cures), "1 cures", "%s cure"), cures},
		{say.Count(len(others), "1 waits for somebody else", "%s wait for somebody else"), others},
	} {
		if len(group.doors) > 0 {
			lines = append(lines, say.F("%s: %s", group.what, say.Join("; ", cutLines(group.doors)...)))
		}
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

// whoIsAt tells who works at a door: its people, who was last there, and who
// comes next.
func (e *Request) whoIsAt(text string) error {
	if id := strings.Trim(text, " ?.!"); id != "" && !slices.Contains([]string{"it", "this door", "the door"}, strings.ToLower(id)) {
		e.DoorID = strings.TrimPrefix(strings.TrimPrefix(id, "door "), "#")
	}
	if e.DoorID == "" {
		return bot.Refuse(say.F("which door? say who is at A-101"))
	}
	j, err := e.Job()
	if err != nil {
		return err
	}
	s := &j.Door.Spec
	lines := []say.Text{say.F("door %s: crew @%s, foreman @%s", s.ID, say.Names(" @", s.Crew...), s.Foreman)}
	if left := j.Site.Left(s); len(left) > 0 {
		lines = append(lines, say.F("@%s left the site: @%s is told", say.Names(" @", left...), j.Site.Lead(e.Msg.At)))
	}
	var events []jobs.Event
	for entry, err := range e.Desk.Log(e.Ctx, j.Key, max(0, j.Rec.Version-lookedBack)) {
		if err != nil {
			return err
		}
		some, err := tell.ReadEvents(entry.Data)
		if err != nil {
			return err
		}
		events = append(events, some...)
	}
	if last := tell.LastThere(j, events); !last.IsZero() {
		lines = append(lines, last)
	}
	for _, v := range j.Door.Planned() {
		lines = append(lines, tell.VisitLine(&v, j.Site, e.Msg.At))
	}
	e.Say(bot.KindDoor, say.Lines(lines...))
	return nil
}

// lookedBack is how many entries of a log are looked through for who was there
// last.
const lookedBack = 50
