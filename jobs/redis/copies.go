package redis

import (
	"context"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/calc"
)

// ErrCopies is returned when too few replicas have a change: it took place,
// and a failover may undo it. Repeat it, as after any trouble with the store.
var ErrCopies error = &told{Text: calc.F("too few replicas of the Redis have the change")}

// forCopies is how long replicas are waited for. It is less than a reply is.
const forCopies = 2 * time.Second

// write runs a script that changes something, and returns when as many
// replicas have the change as [Options] ask for.
func (s *Store) write(ctx context.Context, script *redis.Script, args ...any) *redis.Cmd {
	if s.copies == 0 {
		return s.exec(ctx, script, args...)
	}
	var cmd *redis.Cmd
	err := s.copied(ctx, func(p redis.Pipeliner) { cmd = script.EvalSha(ctx, p, s.due, args...) })
	if redis.HasErrorPrefix(cmd.Err(), "NOSCRIPT") {
		err = s.copied(ctx, func(p redis.Pipeliner) { cmd = script.Eval(ctx, p, s.due, args...) })
	}
	if err != nil {
		cmd.SetErr(err)
	}
	return cmd
}

// copied sends commands, and waits until as many replicas as [Options] ask for
// have what they changed.
//
// WAIT counts the replicas that have the writes of its own connection, and of
// the commands before it those that changed nothing are no writes: a change
// that is repeated would be taken for copied though nobody waited for its
// first time. So something is written behind it in any case, and all goes over
// one connection in one go. If that breaks, all is repeated on another one:
// what was done on a server that is gone is done again on the new one, or is
// found there, and is waited for there.
func (s *Store) copied(ctx context.Context, queue func(redis.Pipeliner)) error {
	server, err := s.server(ctx)
	if err != nil {
		return err
	}
	p := server.Pipeline()
	queue(p)
	p.Incr(ctx, s.key.copied())
	n := redis.NewIntCmd(ctx, "wait", s.copies, forCopies.Milliseconds())
	p.Process(ctx, n)
	if _, err := p.Exec(ctx); err != nil {
		if c, ok := s.rdb.(*redis.ClusterClient); ok {
			c.ReloadState(ctx) // the workspace may have moved
		}
		return err
	}
	if n.Val() < int64(s.copies) {
		return &told{calc.F("%s: %s of %s within %s", ErrCopies, n.Val(), s.copies, forCopies), ErrCopies}
	}
	return nil
}
