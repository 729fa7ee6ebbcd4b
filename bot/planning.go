package bot

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

// snag opens a snag for whoever is named before or behind its text.
func (e *errand) snag(text string) error {
	text, people := namedAround(text)
	switch len(people) {
	case 0:
		return e.do(&jobs.OpenSnag{Text: text})
	case 1:
		return e.do(&jobs.OpenSnag{Text: text, Owner: people[0]})
	}
	e.ask(&open{Text: "door " + e.id + " snag " + text, Who: true, Ask: "a snag has one owner: @" + strings.Join(people, " or @") + "?"})
	return nil
}

// namedAround takes the people named by @ before and behind a text off it.
func namedAround(text string) (rest string, people []string) {
	fields := strings.Fields(text)
	take := func(field string) bool {
		id, at := strings.CutPrefix(strings.Trim(field, ".,;:!"), "@")
		if at && id != "" && !slices.Contains(people, id) {
			people = append(people, id)
		}
		return at && id != "" || field == "and" && len(people) > 0
	}
	front := 0
	for front < len(fields) && take(fields[front]) {
		front++
	}
	back := len(fields)
	for back > front && take(fields[back-1]) {
		back--
	}
	if front == 0 && back == len(fields) {
		return text, nil
	}
	return strings.Join(fields[front:back], " "), people
}

func (e *errand) closeSnag(text string) error {
	id, done, _ := strings.Cut(strings.TrimPrefix(text, "snag "), " ")
	if _, err := strconv.Atoi(id); err == nil {
		id = "s" + id
	}
	return e.do(&jobs.CloseSnag{ID: strings.ToLower(id), Done: done})
}

// when reads a time; what stands after " to " or "because" is why, or else
// what stands after a day and its time.
func (e *errand) when(text string) (time.Time, string, error) {
	phrase, why := reason(text)
	if why == "" {
		if i := strings.Index(phrase, " to "); i > 0 {
			phrase, why = phrase[:i], phrase[i+1:]
		}
	}
	at, err := e.site.When(phrase, e.msg.At)
	if m := dayAndTime.FindStringSubmatch(phrase); err != nil && why == "" && m != nil {
		if then, err := e.site.When(m[1], e.msg.At); err == nil {
			return then, m[2], nil
		}
	}
	if err != nil {
		return at, "", refuse(err)
	}
	return at, why, nil
}

var dayAndTime = regexp.MustCompile(`(?i)^((?:on )?\S*[^\s:]{3} (?:at )?\d{1,2}:\d\d)[ ,]+(.+)$`)

func (e *errand) visit(text string) error {
	if note, ok := strings.CutPrefix(text, "done"); ok {
		id, note := visitID(note)
		return e.do(&jobs.FinishVisit{ID: id, Note: strings.TrimSpace(note)})
	}
	at, why, err := e.when(text)
	if err != nil {
		return err
	}
	return e.do(&jobs.SetVisit{At: at, Why: why})
}

// visitID takes a visit's id from the front of the text, if it stands there.
func visitID(text string) (id, rest string) {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if len(first) > 1 && (first[0] == 'v' || first[0] == 'V') && isDigit(first[1]) {
		return strings.ToLower(first), rest
	}
	return "", strings.TrimSpace(text)
}

func (e *errand) moveVisit(text string) error {
	id, rest := visitID(text)
	at, _, err := e.when(strings.TrimPrefix(rest, "to "))
	if err != nil {
		return err
	}
	return e.do(&jobs.MoveVisit{ID: id, At: at})
}

func (e *errand) cancelVisit(text string) error {
	what, why := reason(text)
	id, _ := visitID(what)
	return e.do(&jobs.CancelVisit{ID: id, Why: why})
}

// spoken returns the reminders of some kinds that were due by now and are
// whoever speaks's to answer, the latest first: those said to them, or, of a
// foreman or the office to whom none was, those said to others.
func (e *errand) spoken(j *job, kinds ...string) ([]jobs.Reminder, error) {
	var mine, others []jobs.Reminder
	asked := map[string]bool{}
	for _, r := range jobs.Pending(&j.door, j.sheet, j.site) {
		if r.Due.After(e.msg.At) || !slices.Contains(kinds, r.Kind) {
			continue
		}
		told := j.door.Spec.Told(r.Args["to"])
		for _, who := range told {
			asked["@"+who] = true
		}
		switch {
		case slices.Contains(told, e.msg.Person):
			mine = append(mine, r)
		case j.door.Answers(&r, e.msg.Person, j.site):
			others = append(others, r)
		}
	}
	if len(mine) == 0 {
		mine = others
	}
	if len(mine) == 0 && len(asked) > 0 && !slices.Contains(j.door.Spec.Crew, e.msg.Person) {
		return nil, refuse(fmt.Errorf("that is asked of %s: they answer it, or foreman or office", strings.Join(slices.Sorted(maps.Keys(asked)), " ")))
	}
	slices.SortFunc(mine, func(a, b jobs.Reminder) int {
		return cmp.Or(b.Due.Compare(a.Due), strings.Compare(a.ID, b.ID))
	})
	return mine, nil
}

// prompts returns the latest reminder of each subject.
func prompts(spoken []jobs.Reminder) (out []jobs.Reminder) {
	for _, r := range spoken {
		if !slices.ContainsFunc(out, func(o jobs.Reminder) bool { return subject(o.ID) == subject(r.ID) }) {
			out = append(out, r)
		}
	}
	return out
}

// done answers the visit that is named, the one that is spoken of, or the one
// whose time has come although its reminder is put off. It never passes a
// hold point: the control sample is ticked by itself.
func (e *errand) done(text string) error {
	id, note := visitID(text)
	if id != "" {
		return e.do(&jobs.FinishVisit{ID: id, Note: note})
	}
	j, err := e.job()
	if err != nil {
		return err
	}
	spoken, err := e.spoken(j, jobs.VisitDue)
	if err != nil {
		return err
	}
	switch open := prompts(spoken); len(open) {
	case 0:
		if id, err = e.come(j); err != nil {
			return err
		}
	case 1:
		id = open[0].Args["visit"]
	default:
		return which(open, func(r *jobs.Reminder) string { return strings.TrimSpace("done " + r.Args["visit"] + " " + note) })
	}
	return e.do(&jobs.FinishVisit{ID: id, Note: note})
}

// come returns the one visit whose time has come.
func (e *errand) come(j *job) (id string, err error) {
	planned := j.door.Planned()
	var come []string
	for _, v := range planned {
		if !v.At.After(e.msg.At) {
			come = append(come, v.ID)
		}
	}
	switch {
	case len(planned) == 0:
		return "", refuse(errors.New("done with what? no visit is planned: tick an item, or close a snag"))
	case !j.site.Leads(e.msg.Person) && !slices.Contains(j.door.Spec.Crew, e.msg.Person):
		return "", refuse(errors.New("that is for the door's crew to say, foreman or office"))
	case len(come) == 0:
		return "", refuse(fmt.Errorf("done with what? no visit's time has come; if it was made before, say visit done %s: %s", planned[0].ID, visitLine(&planned[0], e.site, e.msg.At)))
	case len(come) > 1:
		return "", refuse(errors.New("which visit is done: done " + strings.Join(come, ", or done ") + "?"))
	}
	return come[0], nil
}

// which asks which of several reminders a word is about.
func which(open []jobs.Reminder, say func(*jobs.Reminder) string) error {
	ways := make([]string, len(open))
	for i := range open {
		ways[i] = say(&open[i])
	}
	slices.Sort(ways)
	return &choice{orders: ways}
}

// choice is an order that may be one of several.
type choice struct {
	orders []string
	notes  []string // what to say of each; may be nil
}

func (c *choice) Error() string {
	ways := make([]string, len(c.orders))
	for i, order := range c.orders {
		ways[i] = fmt.Sprintf("(%d) %s", i+1, order)
		if c.notes != nil {
			ways[i] += " [" + c.notes[i] + "]"
		}
	}
	return "which one? send " + strings.Join(ways, ", or ") + ", or its number"
}

// whichVisit returns the ways to name the visit that an order is about.
func whichVisit(e *jobs.WhichVisitError, order, rest string, site *jobs.Site) *choice {
	if order == "visit" {
		order, rest = "visit done", strings.TrimSpace(rest[len("done"):])
	}
	c := &choice{}
	for _, v := range e.Planned {
		c.orders = append(c.orders, strings.TrimSpace(order+" "+v.ID+" "+rest))
		c.notes = append(c.notes, said(v.At, site))
	}
	return c
}

// yes takes the visit that is proposed to whoever speaks, or the one of the
// time that is named. If that time is over, it is the next that can be
// proposed.
func (e *errand) yes(text string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	named, err := time.ParseInLocation(minute, text, e.site.Zone)
	one, planned := err == nil, j.door.Planned()
	for _, v := range planned {
		if one && v.At.Equal(named) {
			return refuse(errors.New("that is planned already: " + visitLine(&v, e.site, e.msg.At)))
		}
	}
	kinds := []string{jobs.CareDue}
	if len(planned) == 0 {
		kinds = append(kinds, jobs.CureEnds)
	}
	spoken, err := e.spoken(j, kinds...)
	if err != nil {
		return err
	}
	open := prompts(slices.DeleteFunc(spoken, func(r jobs.Reminder) bool {
		at, err := time.Parse(time.RFC3339, r.Args["visit"])
		drawnLate := !at.After(e.msg.At) && named.After(at)
		return err != nil || one && !at.Equal(named) && !drawnLate
	}))
	switch {
	case len(open) == 0 && one:
		return refuse(errors.New("that time is not proposed any more: say visit and a time"))
	case len(open) == 0:
		return refuse(errors.New("yes to what? no single visit is proposed here"))
	case len(open) > 1:
		return refuse(errors.New("several visits are proposed here: say visit, a time and what it is for"))
	}
	at := named
	if !at.After(e.msg.At) {
		at, _ = j.proposed(open[0].Kind, open[0].Args["visit"], e.msg.At)
	}
	return e.do(&jobs.SetVisit{At: at.In(e.site.Zone), Why: cmp.Or(open[0].Args["for"], "margins and movement")})
}

// proposed returns the visit that a reminder of a kind proposes at now: the one
// it was laid with, or the next if that is over.
func (j *job) proposed(kind, visit string, now time.Time) (at time.Time, ok bool) {
	at, err := time.Parse(time.RFC3339, visit)
	if err == nil && !at.After(now) {
		return j.site.Proposal(kind, now)
	}
	return at.In(j.site.Zone), err == nil
}

// byID stands before the id of a reminder that a button puts off.
const byID = "reminder "

// snooze puts off the one reminder that waits for whoever speaks, or the one
// that is named.
func (e *errand) snooze(text string) error {
	phrase, name, named := strings.Cut(text, " of ")
	until, err := e.site.When(phrase, e.msg.At)
	if err != nil {
		return refuse(err)
	}
	j, err := e.job()
	if err != nil {
		return err
	}
	name, pressed := strings.CutPrefix(name, byID)
	r, known := jobs.Pending(&j.door, j.sheet, j.site)[name]
	later := known && r.Due.After(e.msg.At)
	if known && !later && pressed {
		return e.do(&jobs.SnoozeReminder{ID: name, Until: until})
	}
	spoken, err := e.spoken(j, promptable...)
	if err != nil {
		return err
	}
	if pressed {
		spoken = nil // it is about that one alone
	}
	open := slices.DeleteFunc(prompts(spoken), func(r jobs.Reminder) bool { return named && !isNamed(&r, name) })
	can := slices.DeleteFunc(slices.Clone(open), func(r jobs.Reminder) bool { return r.Urgent })
	switch {
	case len(open) == 0 && later:
		return refuse(errors.New("there is nothing to put off now: that reminder comes " + said(r.Due, e.site)))
	case len(open) == 0 && named:
		return refuse(errors.New("there is nothing left to put off: that reminder has had its answer"))
	case len(open) == 0:
		return refuse(errors.New("there is no reminder to put off"))
	case len(can) > 1:
		return which(can, func(r *jobs.Reminder) string { return "snooze " + phrase + " of " + subject(r.ID) })
	}
	return e.do(&jobs.SnoozeReminder{ID: append(can, open...)[0].ID, Until: until})
}

// isNamed reports whether people name the reminder so: by what it is about,
// or by its visit alone.
func isNamed(r *jobs.Reminder, name string) bool {
	about, name := subject(r.ID), subject(name)
	return strings.EqualFold(name, about) || strings.EqualFold("visit "+name, about)
}

func (e *errand) undo(string) error { return e.do(&jobs.UndoLastMessage{}) }

func (e *errand) handOver(text string) error {
	rest, why := reason(text)
	if rest != "" {
		return refuse(fmt.Errorf("hand over is done at once, with nothing but a reason behind it: not %q", cutText(rest, 40)))
	}
	return e.do(&jobs.HandDoor{Why: why})
}

func (e *errand) card(string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	lines := append([]string{"door " + e.id + ", " + string(j.door.Stage) + ": " + describe(&j.door.Spec)}, j.card()...)
	e.say(KindDoor, strings.Join(append(lines, j.nextLines()...), "\n"))
	return nil
}

func (e *errand) list(text string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	stage := strings.ToLower(text)
	var lines []string
	last := jobs.Stage("")
	for i, it := range j.items() {
		if stage != "" && stage != string(it.Stage) {
			continue
		}
		if it.Stage != last {
			lines = append(lines, string(it.Stage))
			last = it.Stage
		}
		lines = append(lines, itemLine(i+1, &it))
	}
	if len(lines) == 0 {
		return refuse(fmt.Errorf("%q is no stage: survey, set-out, floor, head, hang, park, align, movement, handover", cutText(text, 40)))
	}
	e.say(KindDoor, strings.Join(lines, "\n"))
	return nil
}

func (e *errand) next(string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	lines := j.nextLines()
	if j.curing() {
		lines = append(lines, j.cureText(e.msg.At))
	}
	if len(lines) == 0 {
		lines = []string{"handed over"}
	}
	e.say(KindDoor, strings.Join(lines, "\n"), j.nextButtons()...)
	return nil
}

func (e *errand) log(string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	var lines []string
	var before []jobs.Event
	const page = 200
	for after := int64(0); ; {
		entries, err := e.desk.store.Log(e.ctx, j.key, after, page)
		if err != nil {
			return err
		}
		for _, entry := range entries {
			events, err := readEvents(entry.Data)
			if err != nil {
				return err
			}
			for i := range events {
				if text := j.tell(&events[i], before); text != "" {
					lines = append(lines, said(events[i].At, j.site)+" @"+events[i].By+" "+text)
				}
			}
			after, before = entry.Version, events
		}
		if len(entries) < page {
			break
		}
	}
	e.say(KindDoor, strings.Join(lines, "\n"))
	return nil
}

// failed lists the site's notices that were given up.
func (e *errand) failed(string) error {
	list, err := e.desk.failedAt(e.ctx, e.site)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		e.say(KindBoard, "no reminder has failed")
		return nil
	}
	var lines []string
	for i, n := range list {
		lines = append(lines, fmt.Sprintf("%d %s", i+1, failedText(n, e.site)))
	}
	e.say(KindBoard, strings.Join(append(lines, "retry and its number sends one again"), "\n"))
	return nil
}

// retry sends a failed notice again.
func (e *errand) retry(text string) error {
	if r := e.site.Role(e.msg.Person); !jobs.Allowed(r, jobs.RetryNotice) {
		return refuse(&jobs.PermissionError{Who: e.msg.Person, Role: r, Action: jobs.RetryNotice})
	}
	list, err := e.desk.failedAt(e.ctx, e.site)
	if err != nil {
		return err
	}
	i := 1 + slices.IndexFunc(list, func(n jobs.Notice) bool { return n.ID == text })
	if i == 0 && strings.Contains(text, ":") {
		return refuse(errors.New("that is not among the failed ones any more: it was sent, or is on its way"))
	}
	if i == 0 {
		i, err = strconv.Atoi(text)
	}
	if err != nil || i < 1 || i > len(list) {
		return refuse(fmt.Errorf("which one? failed lists %d", len(list)))
	}
	_, err = e.desk.store.Commit(e.ctx, jobs.Change{Op: e.msg.ID, At: jobs.NowAt(e.msg.At), Done: e.msg.Held, Questions: e.msg.closed(),
		Move: []jobs.Move{{ID: list[i-1].ID, Due: jobs.NowAt(e.msg.At)}}})
	if err != nil {
		return err
	}
	if e.msg.course != nil {
		e.msg.course.settled = true
	}
	e.say(KindBoard, "it is sent again")
	return nil
}
