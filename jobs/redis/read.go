package redis

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// Door returns a door; see [jobs.Store].
func (s *Store) Door(ctx context.Context, key string) (jobs.Record, error) {
	v, err := s.rdb.HMGet(ctx, s.key.door(key), "v", "s").Result()
	if err != nil {
		return jobs.Record{}, fmt.Errorf("door %s: %w", key, err)
	}
	if v[0] == nil {
		return jobs.Record{}, fmt.Errorf("door %s: %w", key, jobs.ErrNotFound)
	}
	return record(key, v[0], v[1])
}

func record(key string, version, state any) (jobs.Record, error) {
	v, ok1 := version.(string)
	st, ok2 := state.(string)
	n, err := strconv.ParseInt(v, 10, 64)
	if !ok1 || !ok2 || err != nil {
		return jobs.Record{}, fmt.Errorf("door %v: unexpected version %v", key, version)
	}
	return jobs.Record{Key: key, Version: n, State: []byte(st)}, nil
}

// Doors returns doors of an index; see [jobs.Store].
func (s *Store) Doors(ctx context.Context, index string, from, count int) ([]jobs.Record, int, error) {
	reply, err := s.exec(ctx, s.run.doors, index, from, from+min(count, maxBatch)-1).Slice()
	if err != nil {
		return nil, 0, fmt.Errorf("doors of %s: %w", index, err)
	}
	total, _ := reply[0].(int64)
	var rs []jobs.Record
	for i := 1; i+2 < len(reply); i += 3 {
		key, _ := reply[i].(string)
		r, err := record(key, reply[i+1], reply[i+2])
		if err != nil {
			return nil, 0, fmt.Errorf("doors of %s: %w", index, err)
		}
		rs = append(rs, r)
	}
	return rs, int(total), nil
}

// Log returns a door's log; see [jobs.Store].
func (s *Store) Log(ctx context.Context, door string, after int64, count int) ([]jobs.Entry, error) {
	ms, err := s.rdb.XRangeN(ctx, s.key.log(door), strconv.FormatInt(after+1, 10)+"-0", "+", int64(min(count, maxBatch))).Result()
	if err != nil {
		return nil, fmt.Errorf("log of %s: %w", door, err)
	}
	es := make([]jobs.Entry, len(ms))
	for i, m := range ms {
		text := func(name string) string { t, _ := m.Values[name].(string); return t }
		version, err1 := strconv.ParseInt(strings.TrimSuffix(m.ID, "-0"), 10, 64)
		at, err2 := strconv.ParseInt(text("at"), 10, 64)
		if err := errors.Join(err1, err2); err != nil {
			return nil, fmt.Errorf("log of %s: entry %s: %w", door, m.ID, err)
		}
		es[i] = jobs.Entry{Version: version, Op: text("op"), At: jobs.Millis(at), Data: []byte(text("e"))}
	}
	return es, nil
}

// Notice returns a notice; see [jobs.Store].
func (s *Store) Notice(ctx context.Context, id string) (jobs.Notice, error) {
	m, err := s.rdb.HGetAll(ctx, s.key.notice(id)).Result()
	if err != nil {
		return jobs.Notice{}, fmt.Errorf("notice %s: %w", id, err)
	}
	if len(m) == 0 {
		return jobs.Notice{}, fmt.Errorf("notice %s: %w", id, jobs.ErrNotFound)
	}
	n := jobs.Notice{ID: id}
	for name, value := range m {
		if err := set(&n, name, value); err != nil {
			return n, fmt.Errorf("notice %s: field %s: %w", id, name, err)
		}
	}
	return n, nil
}

// Notices returns notices of a door; see [jobs.Store].
func (s *Store) Notices(ctx context.Context, door string, from, count int) ([]jobs.Notice, error) {
	return s.ranked(ctx, "list:"+door, from, count)
}

// Failed returns notices that were given up; see [jobs.Store].
func (s *Store) Failed(ctx context.Context, from, count int) ([]jobs.Notice, error) {
	return s.ranked(ctx, "failed", from, count)
}

func (s *Store) ranked(ctx context.Context, set string, from, count int) ([]jobs.Notice, error) {
	reply, err := s.exec(ctx, s.run.notices, set, from, from+min(count, maxBatch)-1).Slice()
	if err != nil {
		return nil, fmt.Errorf("notices in %s: %w", set, err)
	}
	return notices(reply)
}

// Question returns an open question; see [jobs.Store].
func (s *Store) Question(ctx context.Context, key string) ([]byte, error) {
	q, err := s.rdb.HGet(ctx, s.key.questions(), key).Bytes()
	if err != nil {
		return nil, fmt.Errorf("question %s: %w", key, absent(err))
	}
	return q, nil
}

// Keep stores a file; see [jobs.Store].
func (s *Store) Keep(ctx context.Context, hash string, data []byte) error {
	if err := s.write(ctx, s.run.keep, hash, data).Err(); err != nil {
		return fmt.Errorf("keep file %s: %w", hash, err)
	}
	return nil
}

// Kept returns a kept file; see [jobs.Store].
func (s *Store) Kept(ctx context.Context, hash string) ([]byte, error) {
	data, err := s.rdb.Get(ctx, s.key.file(hash)).Bytes()
	if err != nil {
		return nil, fmt.Errorf("file %s: %w", hash, absent(err))
	}
	return data, nil
}

// Bind sets names; see [jobs.Store].
func (s *Store) Bind(ctx context.Context, refs map[string]string) error {
	args := make([]any, 0, 2*len(refs))
	for name, ref := range refs {
		args = append(args, name, ref)
	}
	if err := s.write(ctx, s.run.bind, args...).Err(); err != nil {
		return fmt.Errorf("bind: %w", err)
	}
	return nil
}

// Bound returns what names stand for; see [jobs.Store].
func (s *Store) Bound(ctx context.Context, names ...string) ([]string, error) {
	values, err := s.rdb.HMGet(ctx, s.key.refs(), names...).Result()
	if err != nil {
		return nil, fmt.Errorf("bound: %w", err)
	}
	if len(values) != len(names) { // seen once, on a connection that had been cut many times
		return nil, fmt.Errorf("bound: asked for %d names, and %d came", len(names), len(values))
	}
	refs := make([]string, len(values))
	for i, v := range values {
		refs[i], _ = v.(string)
	}
	return refs, nil
}

// Replace keeps a file in place of another; see [jobs.Store].
func (s *Store) Replace(ctx context.Context, name, hash string, data []byte) error {
	if err := s.write(ctx, s.run.replace, name, hash, data).Err(); err != nil {
		return fmt.Errorf("keep file of %s: %w", name, err)
	}
	return nil
}

// absent turns the client's word for a missing key into ours.
func absent(err error) error {
	if errors.Is(err, redis.Nil) {
		return jobs.ErrNotFound
	}
	return err
}

// Index puts a door into other sets; see [jobs.Store].
func (s *Store) Index(ctx context.Context, door string, version int64, index []jobs.Index) error {
	if err := checkIndex(index); err != nil {
		return err
	}
	done, err := s.write(ctx, s.run.index, door, version, indexText(index)).Int()
	if err == nil && done == 0 {
		err = jobs.ErrConflict
	}
	if err != nil {
		return fmt.Errorf("sets of %s: %w", door, err)
	}
	return nil
}

// Purge deletes a door; see [jobs.Store].
func (s *Store) Purge(ctx context.Context, door string) error {
	if err := s.write(ctx, s.run.purge, door).Err(); err != nil {
		return fmt.Errorf("purge %s: %w", door, err)
	}
	return nil
}

// longestPause is more than a notice waits for its next try, in ms.
const longestPause = 60_000

// Tally counts the notices; see [jobs.Store]. Those that wait behind their
// thread are counted from the threads that are held.
func (s *Store) Tally(ctx context.Context) (jobs.Tally, error) {
	threads, err := s.rdb.HKeys(ctx, s.key.busy()).Result()
	if err != nil {
		return jobs.Tally{}, fmt.Errorf("tally: %w", err)
	}
	p := s.rdb.Pipeline()
	due, lease, failed := p.ZCard(ctx, s.key.due()), p.ZCard(ctx, s.key.lease()), p.ZCard(ctx, s.key.failed())
	first := p.ZRangeWithScores(ctx, s.key.due(), 0, 0)
	var waits []*redis.IntCmd
	for _, t := range threads {
		waits = append(waits, p.ZCard(ctx, s.key.wait(t)))
	}
	if _, err := p.Exec(ctx); err != nil {
		return jobs.Tally{}, fmt.Errorf("tally: %w", err)
	}
	t := jobs.Tally{Due: int(due.Val()), Leased: int(lease.Val()), Failed: int(failed.Val())}
	for _, w := range waits {
		t.Waiting += int(w.Val())
	}
	if z := first.Val(); len(z) == 1 {
		t.Oldest = jobs.Millis(z[0].Score)
	}
	now := s.Now(s.clock()).UnixMilli()
	since, err := s.exec(ctx, s.run.overdue, now, now+longestPause, " "+jobs.KindIn+" "+jobs.KindEntry+" ").StringSlice()
	if err != nil {
		return jobs.Tally{}, fmt.Errorf("tally: %w", err)
	}
	for i, to := range []*jobs.Millis{&t.Overdue, &t.Unanswered} {
		if since[i] != "" {
			ms, err := strconv.ParseInt(since[i], 10, 64)
			if err != nil {
				return jobs.Tally{}, fmt.Errorf("tally: unexpected reply %q", since[i])
			}
			*to = jobs.Millis(ms)
		}
	}
	return t, nil
}

// Nudges returns a channel that gets a value when something new is next. It
// is a hint only: one may be lost. stop ends it.
func (s *Store) Nudges(ctx context.Context) (nudges <-chan struct{}, stop func()) {
	sub := s.rdb.Subscribe(ctx, s.key.nudge())
	in, out := sub.Channel(), make(chan struct{}, 1)
	go func() {
		for range in {
			select {
			case out <- struct{}{}:
			default: // one is waiting already
			}
		}
	}()
	return out, func() { sub.Close() }
}
