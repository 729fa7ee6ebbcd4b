package sim

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// reached is the store as one process reaches it.
type reached struct {
	*redis.Store
	p *process
}

var _ jobs.Store = (*reached)(nil)

// wants is what tells a call to the store from others.
type wants []any

// through makes a call to the store, or lets befall it what must.
func through[T any](p *process, c wants, do func() (T, error)) (T, error) {
	var nothing T
	p.w.gate.pass(func() string { return fmt.Sprint(p.name, c) })
	now := p.w.now()
	switch {
	case p.dead.Load():
		return nothing, errDead
	case now.Before(p.w.storeBack.time()):
		p.w.befall(p.w.storeBack.time())
		return nothing, errStore
	}
	switch kind, _ := p.stored.burn(); kind {
	case lost:
		p.w.befall(now)
		return nothing, errStore
	case replyLost:
		p.w.befall(now)
		do()
		return nothing, errStore
	case twice:
		do()
	case dieBefore:
		p.die()
		return nothing, errDead
	case dieAfter:
		do()
		p.die()
		return nothing, errDead
	}
	return do()
}

// pair is two answers of one call.
type pair[A, B any] struct {
	a A
	b B
}

func (r *reached) Commit(ctx context.Context, c jobs.Change) (jobs.Answer, error) {
	if c.Door != nil {
		r.p.w.rules.dirty[c.Door.Key] = true
	}
	if r.p.later && c.Door != nil { // it writes what this version does not know
		d := *c.Door
		d.Entry = bytes.Replace(d.Entry, []byte(`"v":1,`), []byte(`"v":2,"weather":"dry",`), 1)
		c.Door = &d
	}
	return through(r.p, wants{"Commit", c.Op}, func() (jobs.Answer, error) { return r.Store.Commit(ctx, c) })
}

func (r *reached) Receive(ctx context.Context, seen string, n jobs.Notice, now jobs.Millis) (bool, error) {
	return through(r.p, wants{"Receive", seen}, func() (bool, error) { return r.Store.Receive(ctx, seen, n, now) })
}

func (r *reached) Claim(ctx context.Context, c jobs.Claim) (jobs.Batch, error) {
	return through(r.p, wants{"Claim"}, func() (jobs.Batch, error) { return r.Store.Claim(ctx, c) })
}

func (r *reached) Settle(ctx context.Context, runner, op string, now jobs.Millis, s []jobs.Settlement) ([]bool, error) {
	return through(r.p, wants{"Settle", op}, func() ([]bool, error) { return r.Store.Settle(ctx, runner, op, now, s) })
}

func (r *reached) Tidy(ctx context.Context, now jobs.Millis) error {
	_, err := through(r.p, wants{"Tidy"}, func() (bool, error) { return true, r.Store.Tidy(ctx, now) })
	return err
}

func (r *reached) Door(ctx context.Context, key string) (jobs.Record, error) {
	return through(r.p, wants{"Door", key}, func() (jobs.Record, error) { return r.Store.Door(ctx, key) })
}

func (r *reached) Doors(ctx context.Context, index string, from, count int) ([]jobs.Record, int, error) {
	x, err := through(r.p, wants{"Doors", index}, func() (x pair[[]jobs.Record, int], err error) {
		x.a, x.b, err = r.Store.Doors(ctx, index, from, count)
		return x, err
	})
	return x.a, x.b, err
}

func (r *reached) Log(ctx context.Context, door string, after int64, count int) ([]jobs.Entry, error) {
	return through(r.p, wants{"Log", door}, func() ([]jobs.Entry, error) { return r.Store.Log(ctx, door, after, count) })
}

func (r *reached) Notice(ctx context.Context, id string) (jobs.Notice, error) {
	return through(r.p, wants{"Notice", id}, func() (jobs.Notice, error) { return r.Store.Notice(ctx, id) })
}

func (r *reached) Notices(ctx context.Context, door string, from, count int) ([]jobs.Notice, error) {
	return through(r.p, wants{"Notices", door}, func() ([]jobs.Notice, error) { return r.Store.Notices(ctx, door, from, count) })
}

func (r *reached) Question(ctx context.Context, key string) ([]byte, error) {
	return through(r.p, wants{"Question", key}, func() ([]byte, error) { return r.Store.Question(ctx, key) })
}

func (r *reached) Kept(ctx context.Context, hash string) ([]byte, error) {
	return through(r.p, wants{"Kept", hash}, func() ([]byte, error) { return r.Store.Kept(ctx, hash) })
}

func (r *reached) Keep(ctx context.Context, hash string, data []byte) error {
	_, err := through(r.p, wants{"Keep", hash}, func() (bool, error) { return true, r.Store.Keep(ctx, hash, data) })
	return err
}

func (r *reached) Bind(ctx context.Context, refs map[string]string) error {
	_, err := through(r.p, wants{"Bind", refs}, func() (bool, error) { return true, r.Store.Bind(ctx, refs) })
	return err
}

func (r *reached) Bound(ctx context.Context, names ...string) ([]string, error) {
	return through(r.p, wants{"Bound", names}, func() ([]string, error) { return r.Store.Bound(ctx, names...) })
}

func (r *reached) Replace(ctx context.Context, name, hash string, data []byte) error {
	_, err := through(r.p, wants{"Replace", name}, func() (bool, error) { return true, r.Store.Replace(ctx, name, hash, data) })
	return err
}

func (r *reached) Index(ctx context.Context, door string, version int64, index []jobs.Index) error {
	_, err := through(r.p, wants{"Index", door}, func() (bool, error) { return true, r.Store.Index(ctx, door, version, index) })
	return err
}

func (r *reached) Pace(ctx context.Context, now jobs.Millis, limits ...jobs.Pace) (time.Duration, error) {
	return through(r.p, wants{"Pace", limits}, func() (time.Duration, error) { return r.Store.Pace(ctx, now, limits...) })
}

func (r *reached) Hold(ctx context.Context, limit string, until jobs.Millis) error {
	_, err := through(r.p, wants{"Hold", limit}, func() (bool, error) { return true, r.Store.Hold(ctx, limit, until) })
	return err
}

func (r *reached) Held(ctx context.Context, prefix string, now jobs.Millis) (int, error) {
	return through(r.p, wants{"Held", prefix}, func() (int, error) { return r.Store.Held(ctx, prefix, now) })
}
