package sim

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

func sorted[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// scene is a door as somebody sees it who is about to do something.
type scene struct {
	w     *world
	pl    *place
	r     *rand.Rand
	id    string
	door  jobs.Door
	sheet *jobs.Sheet
	items []jobs.Item
}

// act does what an action says.
func (w *world) act(a *action) {
	r := rand.New(rand.NewPCG(a.seed, 2))
	pl := w.places[a.site]
	if w.slack != nil && a.kind != trouble && a.kind != office {
		w.slack.listen()
	}
	switch a.kind {
	case trouble:
		w.happens(r)
		return
	case office:
		w.sendFile(pl, r)
		return
	}
	s := &scene{w: w, pl: pl, r: r, id: fmt.Sprint("A-", a.door+1), sheet: w.rules.sheets[pl.sheet]}
	if d := w.rules.doors[jobs.DoorKey(pl.id, s.id)]; d != nil {
		s.door = d.folded
		s.items = jobs.Checklist(&s.door, s.sheet)
	}
	if s.door.Version == 0 {
		s.open()
		return
	}
	switch a.kind {
	case work:
		s.work()
	case slip:
		s.slip()
	case push:
		s.push()
	case query:
		s.ask()
	case visit:
		s.visit()
	case warmth:
		t := pick(r, 14, 18, 21, 9, 12, r.IntN(12))
		switch r.IntN(5) {
		case 0:
			s.say(s.hand(), fmt.Sprintf("temperature %d min %d", t, t-r.IntN(5)))
		case 1:
			until := w.now().Add(time.Duration(4+r.IntN(90)) * time.Hour).In(pl.loc)
			s.say(pick(r, s.foreman(), s.foreman(), s.hand()), fmt.Sprintf("held %d until %s", t, until.Format("2006-01-02 15:04")))
		default:
			s.say(s.hand(), fmt.Sprint("temperature ", t))
		}
	}
}

// say says something in the door's thread.
func (s *scene) say(who, text string) { s.w.say(s.pl, who, s.id, text, s.r.IntN(6) == 0) }

// hand returns one of the crew.
func (s *scene) hand() string { return pick(s.r, s.pl.of(jobs.Crew)...) }

// foreman returns the place's.
func (s *scene) foreman() string { return s.pl.of(jobs.Foreman)[0] }

// open opens the door.
func (s *scene) open() {
	crew := s.pl.of(jobs.Crew)
	names := "@" + strings.Join(crew[:1+s.r.IntN(len(crew))], " @")
	size := pick(s.r, "1050x2350x44 setback 65 opening 1068x2372 mass 88kg", "1000x2300x54 setback 60 opening 1020x2325 mass 92kg", "980x2200x50 setback 55 opening 1000x2225 mass 130kg")
	floor := pick(s.r, "screed", "concrete", "screed heated", "stone")
	if s.pl.sheet == "quarry" {
		size = pick(s.r, "1100x2400x64 setback 95 opening 1120x2430 mass 140kg", "1400x2600x80 setback 110 opening 1424x2640 mass 260kg")
		floor = pick(s.r, "screed", "concrete", "timber")
	}
	extra := pick(s.r, "", " latch", " seals", " latch seals", " cycles 60")
	extra += pick(s.r, " lean heel 0 lean lead 0 floor fall level", " lean heel 2 lean lead 0 floor fall level", " lean heel 0 lean lead 1 floor fall level", "")
	s.w.say(s.pl, pick(s.r, crew[0], s.foreman()), "", fmt.Sprintf("door open %s %s floor %s%s both ways ordinary sheet %s crew %s foreman @%s", s.id, size, floor, extra, s.pl.sheet, names, s.foreman()), false)
}

// work does what the checklist asks for next.
func (s *scene) work() {
	switch {
	case !s.door.Off.IsZero():
		s.say(pick(s.r, s.foreman(), s.foreman(), s.hand()), pick(s.r, "take back call off because it was the next one", "next"))
		return
	case !s.door.Handover.IsZero() && s.r.IntN(30) == 0:
		s.say(s.foreman(), "take back handover because the client found a snag")
		return
	case !s.door.Handover.IsZero():
		s.ask()
		return
	case len(s.door.Doubts) > 0 && s.r.IntN(3) == 0:
		s.say(pick(s.r, s.door.Doubts[0].By, s.hand()), pick(s.r, "yes", "no"))
		return
	}
	if unread := s.door.Spec.Unread(); len(unread) > 0 && s.r.IntN(3) == 0 {
		s.say(s.hand(), pick(s.r, "read lean heel 2, lean lead 0, floor fall level", "read "+strings.ReplaceAll(unread[0], "_", " ")+" 0"))
		return
	}
	for i := range s.items {
		it := &s.items[i]
		if it.State.Settled() || len(jobs.Holds(s.items, it.Stage)) > 0 || s.r.IntN(12) == 0 {
			continue
		}
		if text, ok := s.settle(it); ok {
			s.say(s.settler(it), text)
			return
		}
	}
	switch snags := s.door.OpenSnags(); {
	case len(snags) > 0 && s.r.IntN(2) == 0: // somebody who should not, mostly
		s.say(pick(s.r, s.hand(), s.foreman()), pick(s.r, "hand over", "hand over because the client has it so"))
	case len(snags) > 0:
		s.say(s.hand(), "close "+snags[0].ID+" put right")
	case len(s.door.Snags) == 0 && s.r.IntN(2) == 0:
		s.say(s.hand(), "snag scratch on the leaf @"+s.hand())
	default:
		s.say(s.hand(), "hand over")
	}
}

// settler returns who settles an item: of two that want two people, mostly
// somebody else than the first.
func (s *scene) settler(it *jobs.Item) string {
	other := map[string]string{"second": "datum", "datum": "second"}[it.ID]
	if by := s.door.Items[other].By; by != "" && s.r.IntN(2) == 0 {
		return by // who should not
	}
	for range 5 {
		if by := s.hand(); by != s.door.Items[other].By {
			return by
		}
	}
	return s.foreman()
}

// settle returns what settles an item; false if it has to wait.
func (s *scene) settle(it *jobs.Item) (text string, ok bool) {
	where, _, _ := strings.Cut(it.ID, "-")
	now := s.w.now()
	switch {
	case it.Kind == jobs.Photo:
		return pick(s.r, "photo "+it.ID+" in the site folder", fmt.Sprintf("photo picture%d.jpg", s.r.IntN(1000))), true
	case it.Kind == jobs.ByEntry && strings.HasSuffix(it.ID, "-bonded"):
		for _, m := range s.door.Mixes {
			if m.Where == where && s.r.IntN(12) == 0 {
				return pick(s.r, "mix spoilt because the tube burst", "mix "+where+" spoilt", "mix thrown away"), true
			}
			if m.Where == where && (now.Before(m.Ends) || s.r.IntN(4) == 0) {
				return "bond " + where, true
			}
		}
		return fmt.Sprintf("mix %s batch K%d expires %s", where, s.r.IntN(90), now.AddDate(0, 0, s.r.IntN(60)-1).Format(time.DateOnly)), true
	case it.Kind == jobs.ByEntry:
		return pick(s.r, fmt.Sprintf("mix %s batch K%d expires %s", where, s.r.IntN(90), now.AddDate(0, 0, s.r.IntN(60)).Format(time.DateOnly)),
			fmt.Sprintf("mix %s K%d exp %s", where, s.r.IntN(90), now.AddDate(0, s.r.IntN(9), 0).Format("01/2006")), "mix "+where), true
	case it.ID == "head-services" && s.r.IntN(2) == 0:
		return "read head-services none, looked with the locator", true
	case it.Kind == jobs.Reading:
		return fmt.Sprintf("read %s %s", it.ID, s.value(it)), true
	case isSample(it.ID):
		if c := s.door.CureOf(where, now); s.r.IntN(4) > 0 && (c.End.IsZero() || c.End.After(now)) {
			return "", false
		}
	case it.ID == "stood":
		if w := s.door.Items["wind"]; now.Sub(w.At) > 50*time.Minute && s.r.IntN(2) > 0 {
			return "read wind 3", true
		}
		for _, id := range []string{"zone", "company"} {
			if at := s.door.Items[id].At; at.In(s.pl.loc).YearDay() != now.In(s.pl.loc).YearDay() && !at.IsZero() && s.r.IntN(4) > 0 {
				return pick(s.r, "untick "+id+" because that was another day", "tick "+id, "tick zone company stood", "yes"), true
			}
		}
	}
	if s.r.IntN(3) == 0 {
		return "tick " + strings.Join(s.run(it), pick(s.r, " ", ", ", " and ")), true
	}
	return "tick " + it.ID, true
}

// run returns an item and some of those after it that are ticked, whether they
// have their turn or not.
func (s *scene) run(it *jobs.Item) (ids []string) {
	for i := range s.items {
		if next := &s.items[i]; next.ID == it.ID || len(ids) > 0 && next.Kind == jobs.Tick && !next.State.Settled() && s.r.IntN(3) > 0 {
			ids = append(ids, next.ID)
		}
		if len(ids) == 4 {
			break
		}
	}
	return ids
}

// value returns a reading of an item, mostly within its limits.
func (s *scene) value(it *jobs.Item) string {
	least, most := 0.0, 0.0
	if it.Least != nil {
		least = it.Least.Value()
	}
	switch {
	case it.Most != nil:
		most = it.Most.Value()
	case it.Least != nil:
		most = least + 40
	}
	v := least + (most-least)*(0.2+0.6*s.r.Float64())
	if s.r.IntN(10) == 0 {
		v = pick(s.r, most*1.3+1, least*0.6)
	}
	return fmt.Sprintf("%.1f %s", v, it.Unit)
}

// slip does something wrong, or something that sets the work back.
func (s *scene) slip() {
	r, now := s.r, s.w.now()
	any := s.items[r.IntN(len(s.items))].ID
	who := pick(r, s.hand(), s.hand(), s.foreman(), "zed")
	if len(s.pl.of(jobs.Office)) > 0 && r.IntN(8) == 0 {
		who = s.pl.of(jobs.Office)[0]
	}
	where := pick(r, "floor", "floor", "head")
	setback := s.door.Spec.Setback.MM() + float64(r.IntN(5)-2)
	stand := pick(r, "", "", ", until 2027-12-01")
	texts := []string{
		"tick " + any, fmt.Sprint("tick ", r.IntN(60)), "tick second", "tick sample", "tick stood", "tick floor-drilled", "tcik " + any, "tick " + any + "x",
		"untick " + any + " because it was wrong", "untick " + any, "leave out " + any + " because the client does not want it",
		"override " + any + " because it was seen", "override sample because we are late", "override sample because we are late word: letter in the folder",
		"override floor-services because nothing is there", "override " + any + " because it was seen word: letter in the folder",
		"read wind 3", "read wind 12", "read " + any + " 5", "undo", "undo", "undo", "hand over", "hand over because the client has it so",
		"knocked " + where + " because a trolley hit it", "snag scratch on the leaf @" + s.hand(), "close s1 polished out", "close s9 done",
		fmt.Sprintf("correct setback %g because measured again", setback), "correct mass 99 because weighed", "correct mass 999 kg because weighed",
		fmt.Sprintf("correct cover %d because measured", 40+r.IntN(60)), "bond floor", "bond head", "mix head", "mix floor", "tick 1-40", "tick zone company stood", "tick stood engaged parked", "yes", "photo x.jpg",
		"mix floor batch K1 expires " + now.AddDate(0, 0, -1).Format(time.DateOnly),
		fmt.Sprintf("word %s until %s because the maker wrote%s", where, now.Add(time.Duration(r.IntN(60))*time.Hour).In(s.pl.loc).Format("2006-01-02 15:04"), stand),
	}
	switch r.IntN(10) {
	case 9:
		if snags := s.door.OpenSnags(); len(snags) > 0 && r.IntN(2) == 0 {
			s.say(s.hand(), pick(r, "snag "+snags[0].ID+" @"+s.hand()+" by "+now.AddDate(0, 0, 3).Format(time.DateOnly), "photo "+snags[0].ID+" in the site folder"))
			return
		}
		due := now.Add(time.Duration(r.IntN(150)) * time.Hour).In(s.pl.loc).Format(time.DateOnly)
		s.say(pick(r, s.hand(), s.foreman()), pick(r, "leaf ordered", "leaf due "+due, "leaf delivered", "snag scuffed edge @"+s.hand()+" by "+due,
			"correct crew @"+s.hand(), "correct crew @"+s.hand()+" @"+s.hand(),
			"untick floor-drilled because it was the wrong door",
			fmt.Sprintf("read floor-services %d pipe", 40+r.IntN(70)), fmt.Sprintf("read floor-services %d to the back", 40+r.IntN(90))))
		return
	case 8:
		if r.IntN(4) == 0 {
			s.say(pick(r, s.foreman(), s.foreman(), s.hand()), "call off because it was opened by mistake")
			return
		}
	case 0:
		if u := s.door.Undo; u != nil {
			s.say(u.By, "undo")
			return
		}
	case 1: // the foreman passes a hold, or would
		if len(s.door.Bonds) > 0 && r.IntN(3) == 0 {
			s.say(s.foreman(), texts[len(texts)-1])
			return
		}
		s.say(s.foreman(), pick(r, "override "+pick(r, "floor-services", "wind", "head-services", "limits", any)+" because it was seen", "leave out opening-photo because the client has one"))
		return
	}
	s.say(who, texts[r.IntN(len(texts))])
}

// ask asks something, in the thread or in the channel.
func (s *scene) ask() {
	r := s.r
	if s.w.slack != nil && r.IntN(4) == 0 {
		s.w.slack.asks(s.pl, r, s.id, pick(r, s.hand(), s.foreman(), "zed"))
		return
	}
	switch r.IntN(4) {
	case 0:
		t, sb := 40+r.IntN(30), 40+r.IntN(60)
		s.w.say(s.pl, s.hand(), "", fmt.Sprintf("gap %d %d", t, sb), false)
	case 1:
		who := s.hand()
		if s.w.say(s.pl, who, s.id, pick(r, "gap", "card", "plate centre", "heel gap", "gap 54", "setback", "how warm"), false); r.IntN(4) == 0 {
			s.w.run(s.w.now().Add(40 * time.Second))
			s.w.say(s.pl, who, s.id, "put that on record", false)
		}
	case 2:
		s.w.say(s.pl, pick(r, s.hand(), s.foreman(), "zed"), "", pick(r, "board", "today", "week", "visits", "snags", "doors mine", "failed", "gap 54", "60", "never mind", "help"), false)
	default:
		s.w.say(s.pl, s.hand(), s.id, pick(r, "next", "list", "log", "visits", "when can I load the plate", "what is a setback", "60"), r.IntN(2) == 0)
	}
}

// visit deals with visits and reminders.
func (s *scene) visit() {
	r, who := s.r, pick(s.r, s.hand(), s.hand(), s.foreman())
	at := s.w.now().Add(time.Duration(r.IntN(120)-4) * time.Hour).In(s.pl.loc).Truncate(30 * time.Minute)
	if r.IntN(3) > 0 {
		at = s.pl.quiet(at).In(s.pl.loc)
	}
	when := at.Format("2006-01-02 15:04")
	texts := []string{"visit " + when + " for margins", "visit " + when, "visit tomorrow 9:00 to set the margins", "done", "snooze 2h", "snooze 1d", "yes",
		"move visit to " + when, "cancel visit because the client is away", "visit done v1 all well", "done v2"}
	s.say(who, texts[r.IntN(len(texts))])
}

// push presses one of the buttons that the bot has shown at the door, mostly
// an old one.
func (s *scene) push() {
	if s.w.slack != nil {
		s.w.slack.push(s.pl, s.r, s.id, pick(s.r, s.hand(), s.hand(), s.foreman(), "zed"))
		return
	}
	type button struct {
		bot.Button
		from *posted
	}
	var seen, ticks []button
	for _, p := range s.w.far.last {
		if p.Thread != s.id && p.Thread != "" || p.Channel != s.pl.channel {
			continue
		}
		for _, b := range p.Buttons {
			if p.Thread == "" && !strings.HasPrefix(b.Say, "door "+s.id+" ") {
				continue
			}
			seen = append(seen, button{b, p})
			if strings.HasPrefix(b.Say, "tick ") && !s.door.Items[strings.Fields(b.Say)[1]].Settled() {
				ticks = append(ticks, button{b, p})
			}
		}
	}
	for _, b := range bot.StandingButtons(nil, s.id) {
		seen = append(seen, button{b, nil})
	}
	if n := s.r.IntN(3); n == 0 && len(seen) > 8 {
		seen = seen[len(seen)-8:]
	} else if n == 1 && len(ticks) > 0 {
		seen = ticks
	}
	b := seen[s.r.IntN(len(seen))]
	s.w.press(s.pl, pick(s.r, s.hand(), s.hand(), s.foreman(), "zed"), s.id, b.Button, b.from)
}

// fill fills in a form, and sends it twice now and then.
func (w *world) fill(p *process, m bot.Message, id string) {
	f, err := p.bot.Form(p.ctx, m, id)
	if err != nil {
		w.tell("  no form: %v", err)
		return
	}
	w.rules.formed(&f)
	r := rand.New(rand.NewPCG(uint64(w.said), 3))
	values := map[string]string{}
	for i := range f.Fields {
		field := &f.Fields[i]
		values[field.Name] = field.Value
		if field.Value != "" || field.Optional && r.IntN(2) == 0 {
			continue
		}
		at := w.now().Add(time.Duration(r.IntN(90)) * time.Hour)
		values[field.Name] = map[bot.FieldKind]string{bot.TextField: "put right", bot.LongField: "scratch", bot.NumberField: fmt.Sprint(1 + r.IntN(12)), bot.PersonField: m.Person,
			bot.DateField: at.Format(time.DateOnly), bot.TimeField: fmt.Sprintf("%02d:00", 7+r.IntN(8))}[field.Kind]
		if len(field.Options) > 0 {
			values[field.Name] = field.Options[r.IntN(len(field.Options))].Value
		}
	}
	pl := w.places[slices.IndexFunc(w.places, func(pl *place) bool { return pl.channel == m.Channel })]
	for range 1 + r.IntN(2) {
		if p = w.working(); p == nil {
			return
		}
		w.rules.pressing(pl, &m)
		wrong, posts, err := p.bot.Submit(p.ctx, m, id, maps.Clone(values))
		w.rules.look()
		for _, name := range sorted(wrong) {
			w.tell("  %s: %s", name, wrong[name])
		}
		w.show(posts, err)
	}
}

// happens is trouble.
func (w *world) happens(r *rand.Rand) {
	p := w.working()
	if p == nil {
		return
	}
	if w.slack != nil && w.slack.sockets != nil && r.IntN(3) == 0 {
		w.slack.hinder(r)
		return
	}
	switch n := r.IntN(60); {
	case n == 59 && r.IntN(4) == 0:
		w.far.poisoned = true
	case n <= 2:
		back := w.storeBack.set(w.now().Add(time.Duration(1+r.IntN(600)) * time.Second))
		w.tell("the store is away until %s", back.UTC().Format(time.TimeOnly))
	case n <= 8:
		back := w.farBack.set(w.now().Add(time.Duration(1+r.IntN(1200)) * time.Second))
		w.tell("the far side is away until %s", back.UTC().Format(time.TimeOnly))
	case n <= 35:
		p.stored.light(1+r.IntN(12), pick(r, lost, replyLost, replyLost, twice, twice, dieBefore, dieAfter), 0)
	default:
		p.sent.light(1+r.IntN(3), pick(r, lost, replyLost, silent, limited, dieBefore, dieAfter, stalls, stalls), time.Duration(1+r.IntN(24))*time.Second)
	}
}

// sendFile has the office change the site's file: a day off, or somebody new.
func (w *world) sendFile(pl *place, r *rand.Rand) {
	p := w.working()
	if p == nil {
		return
	}
	before := *pl
	pl.closed, pl.people = maps.Clone(pl.closed), slices.Clone(pl.people)
	if r.IntN(2) == 0 {
		pl.closed[w.now().AddDate(0, 0, 1+r.IntN(4)).In(pl.loc).Format(time.DateOnly)] = true
	} else {
		pl.people = append(pl.people, who{fmt.Sprint("new", len(pl.people)), jobs.Crew})
	}
	if err := pl.read(); err != nil {
		panic(err)
	}
	pl.changed = true
	if w.slack != nil {
		w.slack.arrive(pl)
	}
	w.tell("the office of %s sends a new file", pl.id)
	if err := p.desk.UseSite(p.ctx, pl.site); err != nil {
		if hashes, err2 := w.store.Bound(w.ctx, "site:"+pl.id); err2 == nil && hashes[0] == pl.site.Hash {
			w.befall(w.now()) // it is in use all the same
		} else {
			*pl = before
		}
	}
	w.rules.refiled(pl)
}
