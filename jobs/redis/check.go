package redis

import (
	"context"
	"fmt"
	"strings"

	"github.com/redis/go-redis/v9"
)

// Server is what a Redis server says of its care for our data.
type Server struct {
	Version string
	AOF     bool   // it keeps an append-only file
	Policy  string // its maxmemory-policy
	Fsync   string // its appendfsync; empty if we may not ask
}

// Evicts reports whether the server may throw data away when memory runs
// short. Nothing that must not be lost may be kept there.
func (v Server) Evicts() bool { return v.Policy != "noeviction" }

// Problems says in words how the server could lose data.
func (v Server) Problems() []string {
	var p []string
	if v.Evicts() {
		p = append(p, fmt.Sprintf("it may throw data away when memory runs short (maxmemory-policy %s): set noeviction", v.Policy))
	}
	switch {
	case !v.AOF:
		p = append(p, "it keeps no append-only file: a crash loses what came since the last snapshot; set appendonly yes")
	case v.Fsync != "always" && v.Fsync != "":
		p = append(p, fmt.Sprintf("a crash of its host may lose about a second or more (appendfsync %s): set always", v.Fsync))
	}
	return p
}

// Doubt says what the server does not let us see; "" if there is nothing. Our
// own configuration does not, so it is no problem.
func (v Server) Doubt() string {
	if v.AOF && v.Fsync == "" {
		return "it does not let us see how often it writes to disk: make sure of appendfsync always, as in deploy/redis.conf"
	}
	return ""
}

// Server asks the server about its care for our data.
func (s *Store) Server(ctx context.Context) (Server, error) {
	server, err := s.server(ctx)
	if err != nil {
		return Server{}, fmt.Errorf("ask the server: %w", err)
	}
	info, err := server.Info(ctx).Result()
	if err != nil {
		return Server{}, fmt.Errorf("ask the server: %w", err)
	}
	v := Server{
		Version: field(info, "redis_version"),
		AOF:     field(info, "aof_enabled") == "1",
		Policy:  field(info, "maxmemory_policy"),
	}
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
