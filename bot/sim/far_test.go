package sim

import (
	"context"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

// far is where people read what the bot posts.
type far struct {
	w        *world
	posts    map[string]*posted // by id
	answered map[string]bool    // messages that were
	last     []*posted          // in order
	poisoned bool               // the next post is one that is never taken
	poison   map[string]int     // how often each of those was tried
}

// posted is a post as it stands there.
type posted struct {
	bot.Post
	at time.Time
}

// line is how one process reaches a far side where posts follow one another.
type line struct{ p *process }

// rooms is how it reaches one that has faces and homes as well.
type rooms struct{ line }

var (
	_ bot.Poster = (*line)(nil)
	_ bot.Rooms  = (*rooms)(nil)
)

// call makes a call to the far side, or lets befall it what must.
func (l *line) call(ctx context.Context, do func()) error {
	p, w := l.p, l.p.w
	now := w.now()
	switch {
	case p.dead.Load():
		return errDead
	case now.Before(w.farBack.time()):
		w.befall(w.farBack.time().Add(5 * time.Second))
		return &jobs.SendError{Fault: jobs.Away, Wait: 5 * time.Second, Err: errFar}
	}
	kind, wait := p.sent.burn()
	switch kind {
	case lost:
		w.befall(now)
		return errFar
	case replyLost:
		do()
		w.befall(now)
		return errFar
	case silent:
		do()
		w.befall(now.Add(5 * time.Second))
		return &jobs.SendError{Fault: jobs.Away, Wait: 5 * time.Second, Err: errFar}
	case limited:
		w.befall(now.Add(wait))
		return &jobs.SendError{Fault: jobs.Limited, Wait: wait, Err: errFar}
	case dieBefore:
		p.die()
		return errDead
	case dieAfter:
		do()
		p.die()
		return errDead
	case stalls:
		p.stand(wait)
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	do()
	return nil
}

// stand lets a process stand still while the others go on.
func (p *process) stand(d time.Duration) {
	w := p.w
	w.tell("%s stands still for %v", p.name, d)
	w.befall(w.now().Add(d))
	p.hangs.Store(true)
	w.run(w.now().Add(d))
	p.hangs.Store(false)
}

// Post puts a post up.
func (l *line) Post(ctx context.Context, p bot.Post) (string, error) {
	if l.p.w.far.refuses(&p) {
		return "", errFar
	}
	err := l.call(ctx, func() {
		w := l.p.w
		w.tell("bot #%s %s (%s) %s", p.Thread, p.To, p.Kind, p.Text)
		w.rules.posted(&p)
		x := &posted{p, w.now()}
		w.far.posts[p.ID] = x
		w.far.last = append(w.far.last, x)
	})
	return p.ID, err
}

// refuses reports whether a post is one that the far side never takes. There
// must be an end to trying.
func (f *far) refuses(p *bot.Post) bool {
	id := p.ID
	if f.poisoned {
		f.poisoned, f.poison[id] = false, 0
	}
	n, ok := f.poison[id]
	if ok {
		f.poison[id]++
		f.w.rules.count["tried in vain"]++
		f.w.rules.check(n < tries, "%s is tried for the %dth time", id, n+1)
		f.w.befall(f.w.now())
		if n+1 == tries {
			f.w.rules.gaveUp(p)
		}
	}
	return ok
}

// tries is how often a server tries what fails.
const tries = 80

// Find looks for a post by its id.
func (l *line) Find(ctx context.Context, p bot.Post) (ref string, found bool, err error) {
	err = l.call(ctx, func() { _, found = l.p.w.far.posts[p.ID] })
	if found {
		l.p.w.rules.count["found again"]++
	}
	return p.ID, found, err
}

// Face draws a door's top post: the same each time it is drawn from the same
// state, so it is only looked at.
func (l *rooms) Face(ctx context.Context, p bot.Post) (string, error) {
	err := l.call(ctx, func() { l.p.w.rules.faced(&p) })
	return p.ID, err
}

// Home draws somebody's home.
func (l *rooms) Home(ctx context.Context, site, person string) error {
	h, err := l.p.bot.Home(ctx, person, "", 1, l.p.w.now())
	if err != nil {
		return err
	}
	return l.call(ctx, func() { l.p.w.rules.homed(&h) })
}
