package redis

import (
	"context"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"

	"heelpost/calc"
)

// Server is what a Redis server says of its care for our data.
type Server struct {
	Version  string
	AOF      bool   // it keeps an append-only file
	Policy   string // its maxmemory-policy
	Fsync    string // its appendfsync; empty if we may not ask
	Replicas int    // that follow it
	Copies   int    // of a change that we wait for; see [Options]
}

// Evicts reports whether the server may throw data away when memory runs
// short. Nothing that must not be lost may be kept there.
func (v Server) Evicts() bool { return v.Policy != "noeviction" }

// Problems says in words how the server could lose data.
func (v Server) Problems() []calc.Text {
	var p []calc.Text
	if v.Evicts() {
		p = append(p, calc.F("it may throw data away when memory runs short (maxmemory-policy %s): set noeviction", v.Policy))
	}
	switch {
	case !v.AOF:
		p = append(p, calc.F("it keeps no append-only file: a crash loses what came since the last snapshot; set appendonly yes"))
	case v.Fsync != "always" && v.Fsync != "":
		p = append(p, calc.F("a crash of its host may lose about a second or more (appendfsync %s): set always", v.Fsync))
	}
	return p
}

// Notes says in words what to know of the server that is no problem: what it
// does not let us see, as our own configuration does not, and what a failover
// would lose.
func (v Server) Notes() (notes []calc.Text) {
	if v.AOF && v.Fsync == "" {
		notes = append(notes, calc.F("it does not let us see how often it writes to disk: make sure of appendfsync always, as in deploy/redis.conf"))
	}
	switch follow := followers(v.Replicas); {
	case v.Replicas == 0:
	case v.Copies == 0:
		notes = append(notes, calc.F("%s it, and none is waited for: a failover may lose what was acknowledged, and 34 of 100 did in a test; with HEELPOST_REDIS_COPIES=%s it loses nothing, see deploy/README.md", follow, v.Replicas))
	case v.Copies < v.Replicas:
		notes = append(notes, calc.F("%s it, and %s must have a change: a failover to another one may lose what was acknowledged, and 1 of 100 did in a test; with HEELPOST_REDIS_COPIES=%s it loses nothing, see deploy/README.md", follow, v.Copies, v.Replicas))
	default:
		notes = append(notes, calc.F("%s it, and a change counts only when all have it: a failover loses nothing, and while one is away nothing can be changed", follow))
	}
	return notes
}

func followers(n int) calc.Text {
	if n == 1 {
		return calc.F("1 replica follows")
	}
	return calc.F("%s replicas follow", n)
}

// Server asks the server about its care for our data.
func (s *Store) Server(ctx context.Context) (Server, error) {
	server, err := s.server(ctx)
	if err != nil {
		return Server{}, &told{calc.F("ask the server: %s", err), err}
	}
	info, err := server.Info(ctx).Result()
	if err != nil {
		return Server{}, &told{calc.F("ask the server: %s", err), err}
	}
	v := Server{
		Version: field(info, "redis_version"),
		AOF:     field(info, "aof_enabled") == "1",
		Policy:  field(info, "maxmemory_policy"),
		Copies:  s.copies,
	}
	v.Replicas, _ = strconv.Atoi(field(info, "connected_slaves"))
	// Managed servers and our own ACL user refuse CONFIG: then we don't know.
	if c, err := server.ConfigGet(ctx, "appendfsync").Result(); err == nil {
		v.Fsync = c["appendfsync"]
	}
	return v, nil
}

// server returns the one server that keeps the workspace.
func (s *Store) server(ctx context.Context) (redis.Cmdable, error) {
	if c, ok := s.rdb.(*redis.ClusterClient); ok {
		return c.MasterForKey(ctx, s.key.due())
	}
	return s.rdb, nil
}

// field finds a line of INFO's answer.
func field(info, name string) string {
	for line := range strings.Lines(info) {
		if v, ok := strings.CutPrefix(line, name+":"); ok {
			return strings.TrimSpace(v)
		}
	}
	return ""
}
