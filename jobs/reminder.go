package jobs

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// Reminder is a word to be said at a time: what a decision wants scheduled,
// moved or cancelled. Its id is fixed by what it is about, so that a later
// decision can name it again.
type Reminder struct {
	ID     string
	Kind   string
	Args   map[string]string
	Text   calc.Text // of a [TellNow]: its arg text, before it is put into words
	Due    time.Time
	Urgent bool // leaving it until work begins would hurt
	Cancel bool // it is not wanted any more
}

// The kinds of reminders.
const (
	TellNow     = "tell"        // something happened: args to (all or foreman), what, text
	CureEnds    = "cure"        // the sheet's hours have passed: check the control sample; arg visit proposes a return
	WorkingTime = "working"     // arg minutes that are left
	LeafStands  = "stood"       // a leaf is stood up and not engaged
	VisitAhead  = "visit-ahead" // the working day before
	VisitDue    = "visit"
	CareDue     = "care" // arg visit: a return is proposed after handover; arg for says why
	ColdAsked   = "cold" // arg by was asked whether arg t, which voids a cure, is so
	SnagDue     = "snag" // arg snag is to be put right by arg by
)

// toPeople is what the arg to of a reminder says of people who are named.
func toPeople(people []string) string { return "@" + strings.Join(people, " @") }

// Told returns who is spoken to at t by what a reminder's arg to says: crew,
// foreman or all, or people that it names, as @ana @bo. For who is away it is
// whoever stands in. Nobody is who has left the site; where nobody is left, it
// is a foreman of the site, or the office.
func (s *Site) Told(spec *Spec, to string, t time.Time) (people []string) {
	var named []string
	switch {
	case strings.HasPrefix(to, "@"):
		named = strings.Split(to[1:], " @")
	case to != "foreman":
		named = slices.Clone(spec.Crew)
	}
	if to == "foreman" || to == "all" {
		named = append(named, cmp.Or(s.present(spec.Foreman), s.Lead(t)))
	}
	for _, id := range named {
		if id = s.Acting(id, t); id != "" && !slices.Contains(people, id) {
			people = append(people, id)
		}
	}
	if lead := s.Lead(t); len(people) == 0 && lead != "" {
		people = []string{lead}
	}
	return people
}

// present returns the id of somebody whom the site file names, else "".
func (s *Site) present(id string) string {
	if s.Role(id) == Guest {
		return ""
	}
	return id
}

// Lead returns who stands in at t for those who have left: a foreman of the
// site, or its office.
func (s *Site) Lead(t time.Time) string {
	return s.Acting(cmp.Or(s.First(Foreman), s.First(Office)), t)
}

// Left returns those of a door's people whom the site file does not name any
// more.
func (s *Site) Left(spec *Spec) (people []string) {
	for _, id := range append([]string{spec.Foreman}, spec.Crew...) {
		if s.present(id) == "" {
			people = append(people, id)
		}
	}
	return people
}

// Answers reports whether a reminder of the door is somebody's to answer at t:
// theirs to whom it is said, and any foreman's or the office's.
func (d *Door) Answers(r *Reminder, who string, site *Site, t time.Time) bool {
	return site.Leads(who) || slices.Contains(site.Told(&d.Spec, r.Args["to"], t), who)
}

// Leads reports whether somebody is foreman or office.
func (s *Site) Leads(who string) bool {
	role := s.Role(who)
	return role == Foreman || role == Office
}

// Pends reports whether reminders of a kind follow from a door's state; see
// [Pending].
func Pends(kind string) bool {
	return slices.Contains([]string{CureEnds, WorkingTime, LeafStands, VisitAhead, VisitDue, CareDue, SnagDue, ColdAsked}, kind)
}

// The project's own pauses.
const (
	stoodFor    = 15 * time.Minute // before the first word on a leaf that is not engaged
	stoodAgain  = 30 * time.Minute // between the words that follow, by day and by night
	stoodMore   = 48               // of them: a day long
	stoodDays   = 14               // on which it is said each morning after that
	unanswered  = 2 * time.Hour    // before a reminder is repeated
	visitTakes  = time.Hour        // what a slot must hold
	answering   = 15 * time.Minute // between the word on the cure's end and the return it proposes: to read and answer it
	notice      = time.Hour        // between the word on a return after handover and the visit it proposes
	seasonLeast = 90               // days of heating that make a season
)

// returns are the returns after handover.
var returns = []string{fourWeeks, season, service}

const (
	fourWeeks = "four weeks"
	season    = "heating season"
	service   = "service"
)

// Proposal returns the visit that a reminder of a kind proposes at t: in the
// first working slot that leaves time for an answer. ok is false if there is
// none for over a year.
func (s *Site) Proposal(kind string, t time.Time) (at time.Time, ok bool) {
	if kind == CureEnds {
		return s.Slot(t.Add(answering), visitTakes)
	}
	return s.Slot(t.Add(notice), visitTakes)
}

// pendings collects reminders.
type pendings struct {
	door  *Door
	sheet *Sheet
	site  *Site
	out   map[string]Reminder
}

// add adds a reminder at the time it may be spoken of; a reminder that was
// put off waits for that. Of an archived door nothing is said but what would
// hurt to leave: nobody could answer.
func (p *pendings) add(id, kind string, at time.Time, urgent bool, args map[string]string) time.Time {
	if until := p.door.Snoozed[id]; until.After(at) {
		at = until
	}
	at = p.site.Quiet(at, urgent)
	if p.site.Archived(at) && !urgent {
		return at
	}
	if kind == CureEnds || kind == CareDue {
		if visit, ok := p.site.Proposal(kind, at); ok {
			args["visit"] = visit.Format(time.RFC3339)
		}
	}
	p.out[id] = Reminder{ID: id, Kind: kind, Due: at, Urgent: urgent, Args: args}
	return at
}

// chain adds a reminder to some people, its repetition if nobody answers, and
// the word to the foreman if nobody does then, however long they have put theirs
// off.
func (p *pendings) chain(id, kind, to string, at time.Time, args map[string]string) {
	with := func(to string) map[string]string {
		a := map[string]string{"to": to}
		maps.Copy(a, args)
		return a
	}
	again := p.site.Quiet(p.site.Quiet(at, false).Add(unanswered), false)
	at = p.add(id, kind, at, false, with(to))
	p.add(id+":again", kind, p.site.askAgain(at), false, with(to))
	p.add(id+":foreman", kind, DateOf(again.In(p.site.Zone)).Add(1).At(0, p.site.Zone), false, with("foreman"))
}

// askAgain returns when to say again at the earliest what was said at t: after
// a while, or, of what came with the morning's, with the next morning's.
func (s *Site) askAgain(t time.Time) time.Time {
	if s.Begins(t) {
		return DateOf(t.In(s.Zone)).Add(1).At(0, s.Zone)
	}
	return t.Add(unanswered)
}

// Pending returns the reminders that a door's state asks for, by id. They
// follow from the state alone: what is answered is gone from them.
func Pending(d *Door, sh *Sheet, site *Site) map[string]Reminder {
	p := &pendings{door: d, sheet: sh, site: site, out: map[string]Reminder{}}
	if d.Version == 0 || !d.Off.IsZero() {
		return p.out
	}
	p.working()
	p.curing()
	p.doubts()
	p.standing()
	p.visits()
	p.snags()
	p.care()
	return p.out
}

// working counts working times down.
func (p *pendings) working() {
	for _, m := range p.door.Mixes {
		for _, left := range []int{10, 5, 0} {
			if at := m.Ends.Add(-time.Duration(left) * time.Minute); at.After(m.At) {
				p.add(fmt.Sprintf("working:%s:%d", m.Where, left), WorkingTime, at, true,
					map[string]string{"to": "crew", "where": m.Where, "minutes": fmt.Sprint(left), "ends": m.Ends.Format(time.RFC3339)})
			}
		}
	}
}

// curing speaks at the cure's end.
func (p *pendings) curing() {
	d := p.door
	if !d.Curing() || !d.Handover.IsZero() {
		return
	}
	c := d.Cure(d.Updated)
	if c.End.IsZero() {
		return
	}
	p.chain("cure", CureEnds, "crew", c.End, map[string]string{"end": c.End.Format(time.RFC3339)})
	if slices.ContainsFunc(d.Planned(), func(v Visit) bool { return !v.At.Before(c.End) }) { // that is the answer, and is reminded of by itself
		delete(p.out, "cure:again")
		delete(p.out, "cure:foreman")
	}
}

// standing speaks of a leaf that nobody may let go of.
func (p *pendings) standing() {
	since := p.door.Loose()
	if since.IsZero() {
		return
	}
	p.add("stood", LeafStands, since.Add(stoodFor), true, map[string]string{"to": "crew"})
	p.add("stood:foreman", LeafStands, since.Add(2*stoodFor), true, map[string]string{"to": "foreman"})
	said, last := 0, since.Add(2*stoodFor)
	all := func(at time.Time) {
		said, last = said+1, at
		p.add(fmt.Sprintf("stood:%d", said), LeafStands, at, true, map[string]string{"to": "all"})
	}
	for range stoodMore {
		all(last.Add(stoodAgain))
	}
	day := DateOf(last.In(p.site.Zone))
	for i := range stoodDays {
		if at := day.Add(i).At(8*60, p.site.Zone); at.After(last) {
			all(at)
		}
	}
}

// Loose returns since when the leaf is stood up and its head pivot not engaged,
// zero if it is not.
func (d *Door) Loose() time.Time {
	if stood, ok := d.Items["stood"]; ok && stood.Settled() && !d.Items["engaged"].Settled() && d.Off.IsZero() {
		return stood.At
	}
	return time.Time{}
}

// visits speaks of planned visits.
func (p *pendings) visits() {
	for _, v := range p.door.Planned() {
		id, args := "visit:"+v.ID, map[string]string{"visit": v.ID, "at": v.At.Format(time.RFC3339), "why": v.Why}
		if ahead, ok := p.site.DayBefore(v.At); ok && ahead.After(v.Set) {
			a := maps.Clone(args)
			a["to"] = v.told()
			if due := p.add(id+":ahead", VisitAhead, ahead, false, a); !due.Before(v.At) {
				delete(p.out, id+":ahead") // put off past the visit it says nothing, and would take the place of the visit's own
			}
		}
		p.chain(id, VisitDue, v.told(), v.At, args)
		if r, ok := p.out[id]; ok && !p.door.Snoozed[id].After(v.At) { // whoever set it knew the hour
			r.Due = v.At
			p.out[id] = r
		}
	}
}

// told says who is reminded of a visit: those who come, or the crew.
func (v *Visit) told() string {
	if len(v.Who) > 0 {
		return toPeople(v.Who)
	}
	return "crew"
}

// snags speaks of snags that are to be put right by a day: as its work begins
// to the owner, unless that is when it was said, and when it is over to the
// owner and the foreman.
func (p *pendings) snags() {
	for _, s := range p.door.OpenSnags() {
		if s.Due.IsZero() {
			continue
		}
		said := latest(s.Opened, s.Moved)
		args := func(to string) map[string]string {
			return map[string]string{"to": to, "snag": s.ID, "by": s.Due.Format(time.RFC3339)}
		}
		id := "snag:" + s.ID
		if morning := p.site.Quiet(DateOf(s.Due.In(p.site.Zone)).At(0, p.site.Zone), false); morning.After(said) && morning.Before(s.Due) {
			p.add(id, SnagDue, morning, false, args("@"+s.Owner))
		}
		owner, lead := p.site.Told(&p.door.Spec, "@"+s.Owner, s.Due), p.site.Told(&p.door.Spec, "foreman", s.Due)
		p.add(id+":late", SnagDue, s.Due, false, args(toPeople(append(owner, without(lead, owner)...))))
	}
}

// care proposes the returns after handover.
func (p *pendings) care() {
	d := p.door
	if d.Handover.IsZero() {
		return
	}
	day := DateOf(d.Handover.In(p.site.Zone))
	p.propose(fourWeeks, day.Add(28))
	end := Date{day.Year, p.site.SeasonEnd.Month, p.site.SeasonEnd.Day}
	for end.Before(day.Add(seasonLeast)) {
		end.Year++
	}
	p.propose(season, end.Add(1))

	last := day
	for _, v := range d.Visits {
		if v.isFor(service) && v.End != "" {
			last = DateOf(v.Done.In(p.site.Zone))
		}
	}
	next := DateOf(time.Date(last.Year, last.Month+time.Month(p.sheet.Service.Months), min(last.Day, 28), 0, 0, 0, 0, time.UTC))
	if n := d.Spec.CyclesDay; n > 0 {
		if byUse := last.Add(p.sheet.Service.Cycles / n); byUse.Before(next) {
			next = byUse
		}
	}
	p.propose(service, next)
}

// isFor reports whether the visit is a return after handover. Those set before
// visits said so have it as their reason.
func (v *Visit) isFor(what string) bool { return v.For == what || v.For == "" && v.Why == what }

// propose speaks on a day of a return to plan, until one is planned or made;
// of service again after each, called off or not.
func (p *pendings) propose(what string, day Date) {
	for _, v := range p.door.Visits {
		if v.isFor(what) && (v.End == "" || v.End == VisitDone && what != service) {
			return
		}
	}
	if at, ok := p.site.Slot(day.At(0, p.site.Zone), visitTakes); ok {
		p.chain("care:"+what, CareDue, "crew", at, map[string]string{"for": what})
	}
}

// due returns what must be scheduled, moved or cancelled between two states
// of a door, in the order of the ids.
func due(before, after *Door, sh *Sheet, site *Site) []Reminder {
	was, is := Pending(before, sh, site), Pending(after, sh, site)
	var out []Reminder
	for _, id := range slices.Sorted(maps.Keys(was)) {
		if _, ok := is[id]; !ok {
			out = append(out, Reminder{ID: id, Kind: was[id].Kind, Cancel: true})
		}
	}
	for _, id := range slices.Sorted(maps.Keys(is)) {
		old, ok := was[id]
		if !ok || !old.Due.Equal(is[id].Due) || !maps.Equal(old.Args, is[id].Args) {
			out = append(out, is[id])
		}
	}
	return out
}
