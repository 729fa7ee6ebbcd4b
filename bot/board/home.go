package board

import (
	"context"
	"maps"
	"slices"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// homeLines is how many lines a list of a home shows, but for the doors,
// which are paged.
const homeLines = 10

// everyDoor is the filter that leaves all doors.
const everyDoor = "all"

// home is a home being drawn.
type home struct {
	bot.Home
	ctx    context.Context
	desk   *desk.Desk
	person string
	now    time.Time
	sites  []*jobs.Site // where the person is named
}

// Home draws what a person sees of their own, over all sites where they are
// named: a crew member their doors, visits and cures, foreman and office the
// board, what is overdue, and what failed. A filter or page that there is not
// is taken for the first.
func Home(ctx context.Context, d *desk.Desk, person, filter string, page int, now time.Time) (bot.Home, error) {
	h := &home{ctx: ctx, desk: d, person: person, now: now, Home: bot.Home{Page: max(1, page), Pages: 1}}
	var crewed, led []*jobs.Site
	for _, s := range d.Sites() {
		switch s.Role(person) {
		case jobs.Crew:
			crewed = append(crewed, s)
		case jobs.Foreman, jobs.Office:
			led = append(led, s)
		}
	}
	h.sites = append(append(h.sites, led...), crewed...)
	var err error
	switch {
	case len(h.sites) == 0:
		h.begin(jobs.Guest)
	case len(led) == 0:
		err = h.crew(crewed)
	default:
		if err = h.lead(led, filter); err == nil && len(crewed) > 0 {
			err = h.crew(crewed)
		}
	}
	return h.Home, err
}

// begin says what to type first to somebody of a role who has no door yet.
func (h *home) begin(role jobs.Role) {
	var lines []bot.HomeLine
	for _, l := range welcome(role, h.person) {
		lines = append(lines, bot.HomeLine{Text: h.say(l)})
	}
	h.Sections = append(h.Sections, bot.HomeSection{Title: h.say(say.F("How to begin")), Lines: lines})
}

// section adds a part of the home; nothing says so where it has no lines.
func (h *home) section(title say.Text, lines []bot.HomeLine, nothing say.Text) {
	if len(lines) == 0 {
		lines = []bot.HomeLine{{Text: h.say(nothing)}}
	}
	h.Sections = append(h.Sections, bot.HomeSection{Title: h.say(title), Lines: lines})
}

// say puts a text into the words of whoever's home it is.
func (h *home) say(t say.Text) string { return h.desk.Language.Say(t) }

// crew adds the doors that a person works on, and what awaits them there.
func (h *home) crew(sites []*jobs.Site) error {
	mine := "person/" + h.person
	doors, err := h.doors(sites, mine, len(h.Filters) == 0)
	if err != nil {
		return err
	}
	var visits, cures []bot.HomeLine
	for _, site := range sites {
		list, err := h.first(site, mine+"/visits")
		if err != nil {
			return err
		}
		for _, j := range list {
			visits = append(visits, h.visits(j, time.Time{})...)
		}
		if list, err = h.first(site, mine+"/curing"); err != nil {
			return err
		}
		for _, j := range list {
			cures = append(cures, h.line(j, tell.CureText(j, h.now)))
		}
	}
	if len(doors) == 0 && len(h.Sections) == 0 {
		h.begin(jobs.Crew)
	}
	h.section(say.F("My doors"), doors, say.F("no door is yours yet"))
	h.section(say.F("My visits"), cut(visits, homeLines), say.F("no visit is planned"))
	h.section(say.F("Curing"), cut(cures, homeLines), say.F("nothing is curing"))
	return nil
}

// lead adds the board of the sites that a person leads, and what is wrong
// there.
func (h *home) lead(sites []*jobs.Site, filter string) error {
	h.filters(sites, filter)
	doors, err := h.doors(sites, h.Filter, true)
	if err != nil {
		return err
	}
	var overdue, snags, failed []bot.HomeLine
	for _, site := range sites {
		list, err := h.first(site, "visits")
		if err != nil {
			return err
		}
		for _, j := range list {
			overdue = append(overdue, h.visits(j, h.now)...)
		}
		if list, err = h.first(site, "snags"); err != nil {
			return err
		}
		for _, j := range list {
			for _, s := range j.Door.OpenSnags() {
				snags = append(snags, h.line(j, say.F("snag %s: %s, @%s, since %s", s.ID, jobs.Recorded(s.Text), s.Owner, bot.Instant(s.Opened, site))))
			}
		}
		notices, err := h.desk.FailedAt(h.ctx, site)
		if err != nil {
			return err
		}
		for _, n := range notices {
			failed = append(failed, bot.HomeLine{Text: h.say(tell.FailedText(n, site)), Site: site.ID, Door: jobs.DoorID(n.Door),
				Buttons: []bot.Button{{Label: h.say(say.F("Retry")), Say: "retry " + n.ID}}})
		}
	}
	if len(doors) == 0 && h.Filter == everyDoor {
		h.begin(jobs.Foreman)
	}
	h.section(say.F("Doors"), doors, say.F("no door is here"))
	h.section(say.F("Overdue visits"), cut(overdue, homeLines), say.F("no visit is overdue"))
	h.section(say.F("Open snags"), cut(snags, homeLines), say.F("no snag is open"))
	h.section(say.F("Failed notices"), cut(failed, homeLines), say.F("none"))
	return nil
}

// cut returns at most n of the lines.
func cut(lines []bot.HomeLine, n int) []bot.HomeLine {
	return lines[:min(n, len(lines))]
}

// filters sets what the board can be narrowed by.
func (h *home) filters(sites []*jobs.Site, filter string) {
	h.Filters = []bot.Option{{Value: everyDoor, Label: h.say(say.F("all doors"))}}
	add := func(value string, label say.Text) {
		o := bot.Option{Value: value, Label: h.say(label)}
		if !h.filtered(o.Value) {
			h.Filters = append(h.Filters, o)
		}
	}
	for _, s := range jobs.Stages {
		add("stage/"+string(s), say.F("stage: %s", say.Name(string(s))))
	}
	crews := map[string]bool{}
	for _, site := range sites {
		for _, p := range site.People {
			if p.Crew != "" {
				crews[p.Crew] = true
			}
		}
	}
	for _, c := range slices.Sorted(maps.Keys(crews)) {
		add("crew/"+c, say.F("crew: %s", c))
	}
	for _, site := range sites {
		_, floors := h.desk.Choice(site)
		for _, f := range floors {
			add("floor/"+f, say.F("floor: %s", f))
		}
	}
	h.Filter = everyDoor
	if h.filtered(filter) {
		h.Filter = filter
	}
}

// filtered reports whether a value is one of the filters.
func (h *home) filtered(value string) bool {
	return slices.ContainsFunc(h.Filters, func(o bot.Option) bool { return o.Value == value })
}

// doors returns the doors in one index of several sites: the home's page of
// them if the list is paged, else the first.
func (h *home) doors(sites []*jobs.Site, index string, paged bool) ([]bot.HomeLine, error) {
	page := 1
	if paged {
		page = h.Page
	}
	list, total, err := h.page(sites, index, page)
	if err == nil && paged {
		h.Pages = max(1, (total+desk.PageSize-1)/desk.PageSize)
		if h.Page > h.Pages {
			h.Page = 1
			list, _, err = h.page(sites, index, 1)
		}
	}
	if err != nil {
		return nil, err
	}
	lines := make([]bot.HomeLine, len(list))
	for i, j := range list {
		text := tell.State(j, h.now)
		if j.Door.Stage != jobs.Done { // the state says that
			text = say.F("%s: %s", say.Name(string(j.Door.Stage)), text)
		}
		lines[i] = h.line(j, text)
	}
	return lines, nil
}

// page reads a page of doors from one site's index behind the other, and how
// many there are in all.
func (h *home) page(sites []*jobs.Site, index string, page int) (list []*jobs.Job, total int, err error) {
	from := (page - 1) * desk.PageSize
	for _, site := range sites {
		// Where the page is full already one door is read, to learn how many
		// there are.
		more, n, err := h.desk.Doors(h.ctx, site, index, max(0, from-total), max(1, desk.PageSize-len(list)))
		if err != nil {
			return nil, 0, err
		}
		list = append(list, more[:min(len(more), desk.PageSize-len(list))]...)
		total += n
	}
	return list, total, nil
}

// first reads the first doors of a site's index.
func (h *home) first(site *jobs.Site, index string) ([]*jobs.Job, error) {
	list, _, err := h.desk.Doors(h.ctx, site, index, 0, homeLines)
	return list, err
}

// line tells something of a door.
func (h *home) line(j *jobs.Job, text say.Text) bot.HomeLine {
	id := say.Plain(j.Door.Spec.ID)
	if len(h.sites) > 1 {
		id = say.F("%s (%s)", id, j.Site.Name)
	}
	return bot.HomeLine{Text: h.say(say.F("%s, %s", id, text)), Site: j.Site.ID, Door: j.Door.Spec.ID}
}

// visits tells the planned visits of a door, those before a time if it is
// not zero.
func (h *home) visits(j *jobs.Job, before time.Time) (lines []bot.HomeLine) {
	for _, v := range j.Door.Planned() {
		if before.IsZero() || v.At.Before(before) {
			l := h.line(j, tell.VisitLine(&v, j.Site, h.now))
			l.Buttons = tell.VisitButtons(h.desk.Language, &v)
			lines = append(lines, l)
		}
	}
	return lines
}
