package redis

import (
	"context"
	"errors"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// How much of what was written last a server may lose when it dies and comes
// again, or another takes its place; and how far behind we may be with when
// that was.
const (
	tail   = 5000  // ms: a claim of what came due so long before may be gone
	deaf   = 2000  // ms: a process that lives hears the server at least so often
	beat   = 5000  // ms between two notes of the time in the store
	sparse = 10000 // ms: a note may be older than the last claim by so much
)

// beats reports whether a claim made now has to note that the server was
// heard: for a process that starts after it is gone.
func (s *Store) beats(now jobs.Millis) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	due := now >= s.beaten+beat
	if due {
		s.beaten = now
	}
	return due
}

func (s *Store) lostPeriod() jobs.Period {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.lost
}

func (s *Store) lose(lost jobs.Period) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lost = lost
}

// recall learns from the store whether the server that runs now took the place
// of another, and when that was: by whichever process that was met first.
func (s *Store) recall(ctx context.Context) error {
	server, err := s.server(ctx)
	if err != nil {
		return err
	}
	info, err := server.Info(ctx, "server").Result()
	id := field(info, "run_id")
	if err != nil || id == "" {
		return nil // it does not tell, as the one inside the process
	}
	was, err := s.rdb.Get(ctx, s.key.server()).Result()
	if err != nil && !errors.Is(err, redis.Nil) {
		return err
	}
	known, since, _ := strings.Cut(was, " ")
	switch {
	case was == "":
		return s.rdb.Set(ctx, s.key.server(), id+" 0", 0).Err()
	case known != id:
		return s.replaced(ctx, s.rdb, id, 0)
	}
	to, err := strconv.ParseInt(since, 10, 64)
	if err != nil {
		return err
	}
	from, err := s.rdb.Get(ctx, s.key.broke()).Int64()
	if err != nil && !errors.Is(err, redis.Nil) {
		return err
	}
	s.lose(jobs.Period{From: jobs.Millis(from), To: jobs.Millis(to)})
	return nil
}

// replaced notes that a server took the place of another, which was heard
// last at a time, 0 if that is not known. Claims from shortly before may be
// lost, and then what they sent would be sent again.
func (s *Store) replaced(ctx context.Context, c redis.Cmdable, id string, heard jobs.Millis) error {
	lost := jobs.Period{From: heard - tail, To: heard + deaf}
	s.lose(lost)
	noted, err := c.Get(ctx, s.key.heard()).Int64()
	if err != nil && !errors.Is(err, redis.Nil) {
		return err
	}
	switch {
	case heard == 0 && noted == 0: // an older program's
		lost = jobs.Period{To: jobs.NowAt(s.Now(s.clock()))}
	case jobs.Millis(noted) > heard+deaf: // others heard it when we did not
		lost = jobs.Period{From: jobs.Millis(noted) - tail, To: jobs.Millis(noted) + sparse}
	}
	s.lose(lost)
	if err := c.Set(ctx, s.key.broke(), int64(lost.From), 0).Err(); err != nil {
		return err
	}
	return c.Set(ctx, s.key.server(), id+" "+strconv.FormatInt(int64(lost.To), 10), 0).Err()
}

// met notes which server a new connection leads to. Another one than before
// may have lost the last writes of the one before. A server that does not
// tell has lost nothing that it could tell of, and a sentinel keeps nothing.
func (s *Store) met(ctx context.Context, c *redis.Conn) error {
	info, err := c.Info(ctx, "server").Result()
	if err != nil || field(info, "redis_mode") == "sentinel" {
		return nil
	}
	id := field(info, "run_id")
	s.mu.Lock()
	known := id == "" || s.servers[id] || len(s.offsets) == 0
	s.mu.Unlock()
	if !known {
		err = s.replaced(ctx, c, id, jobs.NowAt(s.Now(time.Unix(0, s.heard.Load()))))
		if redis.HasErrorPrefix(err, "LOADING") {
			return err
		}
		// Any other error is of a server that does not keep our notes, as one
		// of a cluster's others: what we know ourselves has to do.
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.servers[id] = true
	return nil
}
