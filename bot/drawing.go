package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

// Send draws a notice from the state of now and posts it.
func (d *Desk) Send(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	d.sends.Add(1)
	p, next, err := d.draw(ctx, n)
	if errors.Is(err, jobs.ErrNotFound) {
		return jobs.Result{}, &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	if err != nil {
		return jobs.Result{}, err
	}
	if p.Text == "" {
		return jobs.Result{Next: next}, nil // there is nothing left to say
	}
	p.ID, p.At = n.PostID(), d.clock()
	ref, err := d.post.Post(ctx, p)
	return jobs.Result{Ref: ref, Next: next}, err
}

// Find looks for the post of a notice.
func (d *Desk) Find(ctx context.Context, n jobs.Notice) (jobs.Result, bool, error) {
	ref, found, err := d.post.Find(ctx, doorID(n.Door), n.PostID())
	return jobs.Result{Ref: ref}, found, err
}

// Failed tells the foreman of a notice that was given up, once.
func (d *Desk) Failed(n jobs.Notice, reason error) []jobs.Notice {
	if n.Kind == "failed" {
		return nil
	}
	return []jobs.Notice{{ID: n.ID + ":failed", Kind: "failed", Door: n.Door, Thread: n.Door, Due: n.Due,
		Args: map[string]string{"kind": n.Kind, "why": cutText(reason.Error(), 60)}}}
}

// draw puts a notice into words, and names what follows it.
func (d *Desk) draw(ctx context.Context, n jobs.Notice) (Post, []jobs.Notice, error) {
	switch n.Kind {
	case "digest":
		return d.digest(ctx, n)
	case "retention":
		return d.retain(ctx, n)
	}
	j, err := d.job(ctx, n.Door)
	if err != nil {
		return Post{}, nil, err
	}
	p := Post{Thread: j.door.Spec.ID, Channel: j.site.Channels[0], Kind: KindReminder}
	switch n.Kind {
	case "entry":
		p.Kind, p.To = KindDoor, n.Args["by"]
		p.Text, err = d.entry(ctx, j, n.Args["v"])
		p.Buttons = j.nextButtons()
	case "failed":
		p.To = j.door.Spec.Foreman
		p.Text = fmt.Sprintf("@%s a %s notice for this door could not be posted (%s); retry sends it again", p.To, n.Args["kind"], n.Args["why"])
	default:
		to := j.to(n.Args["to"])
		p.To = strings.Join(to, " ")
		if text := j.remind(n); text != "" {
			p.Text, p.Buttons = "@"+strings.Join(to, " @")+" "+text, j.reminderButtons(n)
		}
	}
	return p, nil, err
}

// to returns who is spoken to.
func (j *job) to(whom string) []string {
	s := &j.door.Spec
	switch whom {
	case "foreman":
		return []string{s.Foreman}
	case "all":
		return append(append([]string{}, s.Crew...), s.Foreman)
	}
	return s.Crew
}

// entry tells what one change of the log did, and what comes next.
func (d *Desk) entry(ctx context.Context, j *job, version string) (string, error) {
	v, err := strconv.ParseInt(version, 10, 64)
	if err != nil {
		return "", &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	entries, err := d.store.Log(ctx, j.key, v-1, 1)
	if err != nil {
		return "", err
	}
	if len(entries) == 0 {
		return "", &jobs.SendError{Fault: jobs.Final, Err: fmt.Errorf("the log of %s has no entry %d", j.key, v)}
	}
	var events []jobs.Event
	if err := json.Unmarshal(entries[0].Data, &events); err != nil {
		return "", err
	}
	var lines []string
	for i := range events {
		if line := j.tell(&events[i]); line != "" {
			lines = append(lines, line)
		}
		switch events[i].Kind {
		case jobs.Bonded, jobs.WarmthRead, jobs.Knocked:
			lines = append(lines, j.cureText())
		}
		if events[i].Kind == jobs.Opened {
			lines = append(lines, j.card()...)
		}
	}
	return strings.Join(append(lines, j.nextLines()...), "\n"), nil
}

// remind puts a reminder into words; "" if it has nothing left to say.
func (j *job) remind(n jobs.Notice) string {
	at := func(name string) string {
		t, err := time.Parse(time.RFC3339, n.Args[name])
		if err != nil {
			return "some time"
		}
		return said(t, j.site)
	}
	switch n.Kind {
	case jobs.TellNow:
		return n.Args["what"] + ": " + n.Args["text"]
	case jobs.CureEnds:
		text := "the sheet's hours have passed: check the control sample. Until then the leaf stays still"
		if n.Args["visit"] != "" && len(j.door.Planned()) == 0 {
			text += ". Return visit: " + at("visit") + "? answer yes, or visit and a time"
		}
		return text
	case jobs.AskWarmth:
		return "how warm is the substrate? until it is read the cure is reckoned with the sheet's lowest temperature; answer temperature and the °C"
	case jobs.WorkingTime:
		if n.Args["minutes"] == "0" {
			return "the working time of the adhesive at the " + n.Args["where"] + " is over: what is not in place now is cleaned off and mixed anew"
		}
		return n.Args["minutes"] + " minutes of working time left at the " + n.Args["where"]
	case jobs.LeafStands:
		return "the leaf is stood up and the head pivot is not engaged: nobody lets go; tick engaged when it is"
	case jobs.VisitAhead:
		return "visit " + n.Args["visit"] + " is " + at("at") + because(n.Args["why"])
	case jobs.VisitDue:
		return "visit " + n.Args["visit"] + " is now, " + at("at") + because(n.Args["why"]) + "; answer done, snooze 2h, move visit to a time, or cancel visit because of something"
	case jobs.CareDue:
		return "time for the return after handover (" + n.Args["for"] + "): " + at("visit") + "? answer yes, or visit and a time"
	}
	return ""
}

func because(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

func cutText(s string, n int) string {
	r := []rune(s)
	if len(r) > n {
		return string(r[:n])
	}
	return s
}
