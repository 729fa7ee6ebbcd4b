package redis

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// maxBatch bounds what one script works through, so that no caller holds up
// the others for long.
const maxBatch = 1000

// exec runs a script on the workspace, and notes when the server answers.
func (s *Store) exec(ctx context.Context, script *redis.Script, args ...any) *redis.Cmd {
	cmd := script.Run(ctx, s.rdb, s.due, args...)
	if cmd.Err() == nil {
		s.heard.Store(s.clock().UnixNano())
	}
	return cmd
}

// Commit makes a change; see [jobs.Store].
func (s *Store) Commit(ctx context.Context, c jobs.Change) (jobs.Answer, error) {
	if err := checkChange(c); err != nil {
		return jobs.Answer{}, fmt.Errorf("commit %s: %w", c.Op, err)
	}
	if script, args, found := s.single(c); script != nil {
		done, err := s.write(ctx, script, args...).Int()
		if err != nil {
			return jobs.Answer{}, fmt.Errorf("commit %s: %w", c.Op, err)
		}
		if done == 1 {
			return jobs.Answer{Found: found}, nil
		}
	}
	reply, err := s.write(ctx, s.run.commit, commitArgs(c)...).Int64Slice()
	if err != nil {
		return jobs.Answer{}, fmt.Errorf("commit %s: %w", c.Op, err)
	}
	switch reply[0] {
	case 1:
		return jobs.Answer{Version: reply[1], Found: int(reply[2])}, nil
	case 0:
		return jobs.Answer{Version: reply[1]}, fmt.Errorf("commit %s: door %s is at %d, not %d: %w", c.Op, c.Door.Key, reply[1], c.Door.Version, jobs.ErrConflict)
	case -1:
		return jobs.Answer{}, fmt.Errorf("commit %s: notice %s: %w", c.Op, c.Done.ID, jobs.ErrLost)
	case -3:
		return jobs.Answer{}, fmt.Errorf("commit %s: %s is no longer %.8s: %w", c.Op, c.Door.While.Name, c.Door.While.Value, jobs.ErrConflict)
	}
	return jobs.Answer{}, fmt.Errorf("commit %s: %w", c.Op, jobs.ErrStale)
}

// sleep is more than a runner sleeps between two claims: what is due later
// than that need not wake it.
const sleep = 2000

// single returns the script for a change of one notice and nothing else, nil
// for any other, with its arguments and how many notices it finds.
func (s *Store) single(c jobs.Change) (script *redis.Script, args []any, found int) {
	if c.Door != nil || c.Done.ID != "" || len(c.Questions)+len(c.Keep) > 0 || len(c.Put)+len(c.Cancel)+len(c.Move) != 1 {
		return nil, nil, 0
	}
	soon := func(due jobs.Millis) string {
		if due <= c.At+sleep {
			return "1"
		}
		return "0"
	}
	switch {
	case len(c.Put) == 1:
		n := c.Put[0]
		args = append(make([]any, 0, 12+2*len(n.Args)), c.Op, day(c.At), n.ID, int64(n.Due), soon(n.Due), n.Door)
		return s.run.put, appendFields(args, n), 0
	case len(c.Cancel) == 1:
		return s.run.cancel, []any{c.Op, day(c.At), c.Cancel[0]}, 1
	}
	m := c.Move[0]
	return s.run.move, []any{c.Op, day(c.At), m.ID, int64(m.Due), soon(m.Due)}, 1
}

// commitArgs lays a change out as commit.lua reads it.
func commitArgs(c jobs.Change) []any {
	args := []any{int64(c.At), c.Op, c.Done.ID, c.Done.Token}
	if d := c.Door; d == nil {
		args = append(args, "", 0, "", "", "", "", "")
	} else {
		args = append(args, d.Key, d.Version, d.State, d.Entry, indexText(d.Index), d.While.Name, d.While.Value)
	}
	args = append(args, len(c.Questions))
	for _, key := range slices.Sorted(maps.Keys(c.Questions)) {
		args = append(args, key, c.Questions[key])
	}
	args = append(args, len(c.Cancel))
	for _, id := range c.Cancel {
		args = append(args, id)
	}
	args = append(args, len(c.Move))
	for _, m := range c.Move {
		args = append(args, m.ID, int64(m.Due))
	}
	args = append(args, len(c.Put)+len(c.Keep))
	return appendPuts(appendPuts(args, "0", c.Put), "1", c.Keep)
}

// checkChange refuses what no script can take.
func checkChange(c jobs.Change) error {
	if c.Op == "" || strings.ContainsAny(c.Op, " \n") {
		return fmt.Errorf("operation id %q: must be one word", c.Op)
	}
	if n := len(c.Questions) + len(c.Cancel) + len(c.Move) + len(c.Put) + len(c.Keep); n > maxBatch {
		return fmt.Errorf("%d parts in one change: %d at most", n, maxBatch)
	}
	if d := c.Door; d != nil {
		if err := checkIndex(d.Index); err != nil || d.Key == "" {
			return fmt.Errorf("door %q: bad key or membership: %v", d.Key, err)
		}
	}
	return errors.Join(checkNotices(c.Put), checkNotices(c.Keep))
}

func checkNotices(ns []jobs.Notice) error {
	for i := range ns {
		if ns[i].ID == "" || ns[i].Kind == "" {
			return fmt.Errorf("notice %q of kind %q: both must be there", ns[i].ID, ns[i].Kind)
		}
	}
	return nil
}

// indexText writes memberships as the store keeps them, in a fixed order, so
// that equal ones are equal text.
func indexText(index []jobs.Index) string {
	lines := make([]string, len(index))
	for i, x := range index {
		lines[i] = x.Name + "\t" + strconv.FormatFloat(x.Score, 'g', -1, 64)
	}
	slices.Sort(lines)
	return strings.Join(slices.Compact(lines), "\n")
}

// checkIndex refuses names that can't be kept apart.
func checkIndex(index []jobs.Index) error {
	for _, x := range index {
		if x.Name == "" || strings.ContainsAny(x.Name, "\t\n") {
			return fmt.Errorf("index name %q", x.Name)
		}
	}
	return nil
}

// appendPuts appends notices as put in lib.lua reads them.
func appendPuts(args []any, keep string, ns []jobs.Notice) []any {
	for _, n := range ns {
		args = append(args, keep, n.ID, int64(n.Due), n.Door, nil)
		start := len(args)
		args = appendFields(args, n)
		args[start-1] = len(args) - start
	}
	return args
}

// appendFields appends what the hash of a new notice holds; see keys.notice.
func appendFields(args []any, n jobs.Notice) []any {
	args = append(args, "k", n.Kind)
	if n.Thread != "" {
		args = append(args, "t", n.Thread)
	}
	if n.Door != "" {
		args = append(args, "o", n.Door)
	}
	for name, value := range n.Args {
		args = append(args, "."+name, value)
	}
	return args
}

// notice reads the hash of a notice, as names and values in turn. Fields it
// does not know are a newer program's, and none of its business.
func notice(id string, hash []any) (jobs.Notice, error) {
	n := jobs.Notice{ID: id}
	for i := 0; i+1 < len(hash); i += 2 {
		name, ok1 := hash[i].(string)
		value, ok2 := hash[i+1].(string)
		if !ok1 || !ok2 {
			return n, fmt.Errorf("notice %s: unexpected reply %v", id, hash[i:i+2])
		}
		if err := set(&n, name, value); err != nil {
			return n, fmt.Errorf("notice %s: field %s: %w", id, name, err)
		}
	}
	return n, nil
}

func set(n *jobs.Notice, name, value string) (err error) {
	switch name {
	case "k":
		n.Kind = value
	case "t":
		n.Thread = value
	case "o":
		n.Door = value
	case "d":
		var ms int64
		ms, err = strconv.ParseInt(value, 10, 64)
		n.Due = jobs.Millis(ms)
	case "n":
		n.Claims, err = strconv.Atoi(value)
	case "e":
		n.Fails, err = strconv.Atoi(value)
	case "f":
		n.Token, err = strconv.ParseInt(value, 10, 64)
	case "l":
		n.Looks, err = strconv.Atoi(value)
	case "w":
		n.Why = value
	default:
		if arg, ok := strings.CutPrefix(name, "."); ok {
			if n.Args == nil {
				n.Args = map[string]string{}
			}
			n.Args[arg] = value
		}
	}
	return err
}

// notices reads a reply of ids and hashes in turn.
func notices(reply []any) ([]jobs.Notice, error) {
	var ns []jobs.Notice
	for i := 0; i+1 < len(reply); i += 2 {
		id, _ := reply[i].(string)
		hash, ok := reply[i+1].([]any)
		if !ok {
			return nil, fmt.Errorf("notice %s: unexpected reply %T", id, reply[i+1])
		}
		n, err := notice(id, hash)
		if err != nil {
			return nil, err
		}
		ns = append(ns, n)
	}
	return ns, nil
}

// Receive stores a message that came in; see [jobs.Store].
func (s *Store) Receive(ctx context.Context, seen string, n jobs.Notice, now jobs.Millis) (bool, error) {
	if seen == "" || n.ID == "" || n.Kind == "" {
		return false, fmt.Errorf("receive %q: notice %q of kind %q: all must be there", seen, n.ID, n.Kind)
	}
	stored, err := s.write(ctx, s.run.receive, appendPuts([]any{int64(now), seen, 1}, "1", []jobs.Notice{n})...).Bool()
	if err != nil {
		return false, fmt.Errorf("receive %s: %w", seen, err)
	}
	return stored, nil
}

// Pace counts a call that all limits allow now and returns 0, or returns how
// long to wait and counts nothing. All replicas share the limits.
func (s *Store) Pace(ctx context.Context, now jobs.Millis, limits ...jobs.Pace) (time.Duration, error) {
	args := []any{int64(now)}
	for _, l := range limits {
		args = append(args, l.Name, l.Every.Milliseconds(), max(l.Burst, 1))
	}
	wait, err := s.exec(ctx, s.run.pace, args...).Int64()
	if err != nil {
		return 0, fmt.Errorf("pace: %w", err)
	}
	return time.Duration(wait) * time.Millisecond, nil
}

// Held counts the limits with a prefix that are shut now.
func (s *Store) Held(ctx context.Context, prefix string, now jobs.Millis) (n int, err error) {
	names, err := s.rdb.ZRangeArgs(ctx, redis.ZRangeArgs{Key: s.key.pace(), ByScore: true, Start: fmt.Sprintf("(%d", now), Stop: "+inf"}).Result()
	if err != nil {
		return 0, fmt.Errorf("held %s: %w", prefix, err)
	}
	for _, name := range names {
		if strings.HasPrefix(name, prefix) {
			n++
		}
	}
	return n, nil
}

// Hold keeps a limit shut until a time, for all replicas.
func (s *Store) Hold(ctx context.Context, limit string, until jobs.Millis) error {
	z := redis.ZAddArgs{GT: true, Members: []redis.Z{{Score: float64(until), Member: limit}}}
	if err := s.rdb.ZAddArgs(ctx, s.key.pace(), z).Err(); err != nil {
		return fmt.Errorf("hold %s: %w", limit, err)
	}
	return nil
}

// Claim leases due notices; see [jobs.Store].
func (s *Store) Claim(ctx context.Context, c jobs.Claim) (jobs.Batch, error) {
	sent := s.clock()
	end := int64(c.Now) + c.Lease.Milliseconds()
	reply, err := s.exec(ctx, s.run.claim, int64(c.Now), c.Runner, c.ID, min(c.Max, maxBatch), end, s.beats(c.Now)).Slice()
	if err != nil {
		return jobs.Batch{}, fmt.Errorf("claim: %w", err)
	}
	var head [4]int64 // seconds, microseconds, next due, next end
	for i := range head {
		if text, _ := reply[i].(string); text != "" {
			if head[i], err = strconv.ParseInt(text, 10, 64); err != nil {
				return jobs.Batch{}, fmt.Errorf("claim: unexpected reply %q", text)
			}
		}
	}
	s.observe(sent, time.Unix(head[0], head[1]*1000))
	b := jobs.Batch{NextDue: jobs.Millis(head[2]), NextEnd: jobs.Millis(head[3]), Lost: s.lostPeriod()}
	b.Notices, err = notices(reply[5:])
	return b, err
}

// Settle ends claims; see [jobs.Store].
func (s *Store) Settle(ctx context.Context, runner, op string, now jobs.Millis, items []jobs.Settlement) ([]bool, error) {
	if len(items) > maxBatch {
		return nil, fmt.Errorf("settle %d at once: %d at most", len(items), maxBatch)
	}
	args := []any{int64(now), runner, op, len(items)}
	for _, x := range items {
		if err := checkNotices(x.Put); err != nil {
			return nil, fmt.Errorf("settle %s: %w", x.ID, err)
		}
		args = append(args, x.ID, x.Token, int(x.Verdict), int64(x.Due), x.Looks, x.Note, len(x.Put))
		args = appendPuts(args, "0", x.Put)
	}
	reply, err := s.exec(ctx, s.run.settle, args...).Text()
	if err != nil {
		return nil, fmt.Errorf("settle %s: %w", op, err)
	}
	held := make([]bool, len(items))
	for i := range held {
		held[i] = reply[i] == '1'
	}
	return held, nil
}

// marksKept is how long marks are kept at least: what a far side may take to
// send a message again. Our own client repeats within seconds.
const marksKept = 24 * time.Hour

// day is the day, in UTC and counted from 1970, among whose operations one
// made then is marked.
func day(at jobs.Millis) int64 { return int64(at) / (24 * time.Hour).Milliseconds() }

// Tidy drops old marks; see [jobs.Store].
func (s *Store) Tidy(ctx context.Context, now jobs.Millis) error {
	floor := now - jobs.Millis(marksKept.Milliseconds())
	if err := s.exec(ctx, s.run.tidy, day(floor), int64(floor)).Err(); err != nil {
		return fmt.Errorf("tidy: %w", err)
	}
	return nil
}

// Sweep looks for notices that are in no place, which only a damaged or
// restored database has, makes them due and counts them. It walks the key
// space, so it is for the start of a program.
func (s *Store) Sweep(ctx context.Context) (seen, repaired int, err error) {
	cursor := "0"
	for {
		reply, err := s.exec(ctx, s.run.sweep, cursor).Slice()
		if err != nil {
			return seen, repaired, fmt.Errorf("sweep: %w", err)
		}
		next, ok1 := reply[0].(string)
		n, ok2 := reply[1].(int64)
		r, ok3 := reply[2].(int64)
		if !ok1 || !ok2 || !ok3 {
			return seen, repaired, errors.New("sweep: unexpected reply")
		}
		seen, repaired, cursor = seen+int(n), repaired+int(r), next
		if cursor == "0" {
			return seen, repaired, nil
		}
	}
}
