package notify

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Reminders of many doors that come to the same time reach each person as one
// message. A notice that is due in the morning, or that comes late because
// nobody could send it, is not posted but set aside: it becomes a notice of
// kind gathered in a list of its site. When work begins, or a little later, a
// notice of kind gather parts the list by person in one change: who has one of
// them gets it in the door's thread as ever, who has several gets a notice of
// kind together, which is one post.
const (
	gather   = "gather"
	gathered = "gathered"
	together = "together"
)

// The times of gathering are our own.
const (
	piledUp   = 15 * time.Minute // so late is what was kept up
	gatherLag = 3 * time.Second  // after the last one that comes late
	kept      = 6 * time.Hour    // after which one that was set aside and not fetched comes by itself
	gatherMax = 400              // reminders that are parted in one change
	gatherNow = "late"           // the time of those that are gathered as they come
)

// setAside puts a reminder aside if it is one of those that are said together;
// nil if it is said by itself.
func (s *sender) setAside(j *jobs.Job, n jobs.Notice) []jobs.Notice {
	now, due := s.Clock(), n.Due.Time()
	at := due.Add(desk.GatherFor)
	switch {
	case n.Kind == jobs.WorkingTime || n.Kind == jobs.LeafStands || n.Args["urgent"] != "" || n.Args["only"] != "":
		return nil
	case n.Args[jobs.AmongMany] != "" && now.Sub(due) <= piledUp && now.Equal(j.Site.Quiet(now, false)):
		return aside(j.Site.ID, &n, time.Time{}, now)
	case j.Site.Begins(at) && !now.After(at):
		return aside(j.Site.ID, &n, at, now)
	case j.Site.Begins(at) || now.Sub(due) > piledUp:
		if work := j.Site.Quiet(now, false); work.After(now) {
			return aside(j.Site.ID, &n, work, now)
		}
		return aside(j.Site.ID, &n, time.Time{}, now)
	}
	return nil
}

// aside returns a reminder as it is set aside until a time, zero for as soon as
// no more come, and the notice that fetches it.
func aside(site string, n *jobs.Notice, at, now time.Time) []jobs.Notice {
	name := gatherNow
	if at.IsZero() {
		at = now.Add(gatherLag)
	} else {
		name = strconv.FormatInt(int64(jobs.DueAt(at)), 36)
	}
	return []jobs.Notice{
		{ID: "gathered:" + n.ID, Kind: gathered, Door: gatheredAt(site), Due: jobs.DueAt(at.Add(kept)),
			Args: map[string]string{"site": site, "at": name, "one": pack(n)}},
		{ID: "gather:" + site + ":" + name, Kind: gather, Due: jobs.DueAt(at), Args: map[string]string{"site": site, "at": name}},
	}
}

// gatheredAt is where the list of what is set aside at a site stands: no door
// has such a key.
func gatheredAt(site string) string { return site + "/@gathered" }

// again sets aside anew what nobody has fetched.
func again(n *jobs.Notice, now time.Time) []jobs.Notice {
	one, err := unpack(n.Args["one"])
	if err != nil {
		return nil
	}
	return aside(n.Args["site"], one, time.Time{}, now)
}

// pack and unpack put reminders into an arg of another notice.
func pack(n *jobs.Notice) string {
	b, err := json.Marshal(jobs.Notice{ID: n.ID, Kind: n.Kind, Door: n.Door, Due: n.Due, Args: n.Args})
	if err != nil {
		panic(err) // strings always marshal
	}
	return string(b)
}

func unpack(text string) (*jobs.Notice, error) {
	n := &jobs.Notice{}
	return n, json.Unmarshal([]byte(text), n)
}

// gather parts what was set aside by person.
func (s *sender) gather(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	list, err := s.Store().Notices(ctx, gatheredAt(n.Args["site"]), 0, gatherMax)
	if err != nil {
		return jobs.Result{}, err
	}
	now := s.Clock()
	change := jobs.Change{Op: n.PostID(), At: jobs.NowAt(now), Done: jobs.Held{ID: n.ID, Token: n.Token}}
	people := map[string][]*jobs.Notice{}
	for i := range list {
		if list[i].Args["at"] != n.Args["at"] {
			continue
		}
		change.Cancel = append(change.Cancel, list[i].ID)
		one, err := unpack(list[i].Args["one"])
		if err != nil {
			return jobs.Result{}, &jobs.SendError{Fault: jobs.Final, Err: err}
		}
		j, err := s.Job(ctx, one.Door)
		if err != nil && !errors.Is(err, jobs.ErrNotFound) {
			return jobs.Result{}, err
		}
		if err != nil || !tell.Stands(j, *one, now) {
			continue
		}
		for _, who := range told(j, *one, now) {
			people[who] = append(people[who], one)
		}
	}
	change.Put = parted(&n, people, now)
	if len(list) == gatherMax && len(change.Cancel) > 0 {
		change.Put = append(change.Put, jobs.Notice{ID: n.ID + "+", Kind: gather, Due: change.At, Args: n.Args})
	}
	_, err = s.Store().Commit(ctx, change)
	return jobs.Result{Done: true}, err
}

// parted returns what is sent to people for what was gathered for each: what
// is all that somebody has in its door's thread, to all of whom that is true.
func parted(n *jobs.Notice, people map[string][]*jobs.Notice, now time.Time) (out []jobs.Notice) {
	alone := map[*jobs.Notice][]string{}
	for _, who := range slices.Sorted(maps.Keys(people)) {
		list := people[who]
		if len(list) == 1 {
			alone[list[0]] = append(alone[list[0]], who)
			continue
		}
		all := jobs.Notice{ID: "together:" + n.Args["site"] + ":" + who, Kind: together, Due: jobs.NowAt(now),
			Args: map[string]string{"site": n.Args["site"], "who": who, "count": strconv.Itoa(len(list))}, Thread: gatheredAt(n.Args["site"])} // one after the other
		if !slices.ContainsFunc(list, func(one *jobs.Notice) bool { return one.Door != list[0].Door }) {
			all.Door, all.Thread = list[0].Door, list[0].Door
		}
		for i, one := range list {
			all.Args["one"+strconv.Itoa(i)] = pack(one)
		}
		out = append(out, all)
	}
	for _, one := range slices.SortedFunc(maps.Keys(alone), func(a, b *jobs.Notice) int { return cmp.Compare(a.ID, b.ID) }) {
		args := maps.Clone(one.Args)
		args["only"] = strings.Join(alone[one], " ")
		out = append(out, jobs.Notice{ID: one.ID, Kind: one.Kind, Args: args, Due: jobs.NowAt(now), Door: one.Door, Thread: one.Door})
	}
	return out
}

// round draws what was gathered for one person.
func (s *sender) round(ctx context.Context, n jobs.Notice) (bot.Post, error) {
	site, err := s.SiteOf(ctx, n.Args["site"])
	if err != nil {
		return bot.Post{}, err
	}
	p, err := s.destination(ctx, n)
	if err != nil {
		return p, err
	}
	count, err := strconv.Atoi(n.Args["count"])
	if err != nil {
		return bot.Post{}, &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	now, who := s.Clock(), n.Args["who"]
	p.Kind, p.To = bot.KindReminder, who
	var all []tell.Waiting
	for i := range count {
		one, err := unpack(n.Args["one"+strconv.Itoa(i)])
		if err != nil {
			return bot.Post{}, &jobs.SendError{Fault: jobs.Final, Err: err}
		}
		j, err := s.Job(ctx, one.Door)
		if errors.Is(err, jobs.ErrNotFound) {
			continue
		}
		if err != nil {
			return bot.Post{}, err
		}
		if tell.Stands(j, *one, now) {
			all = append(all, tell.Waiting{Job: j, Notice: *one})
			p.Says = append(p.Says, one.ID)
		}
	}
	if len(all) > 0 {
		text, buttons := tell.Together(s.Language, site, who, all, now)
		p.Text, p.Buttons = s.Language.Say(text), buttons
	}
	return p, nil
}
