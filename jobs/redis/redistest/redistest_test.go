package redistest

import (
	"context"
	"fmt"
	"net"
	"testing"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
)

// TestKeep runs scripts in a Redis that keeps what they run in, and in one
// that does not, which is the source of what is right: both answer the same.
func TestKeep(t *testing.T) {
	open := func(quicken bool) *redis.Client {
		m := miniredis.NewMiniRedis()
		t.Cleanup(m.Close)
		if quicken {
			if err := Keep(m); err != nil {
				t.Fatal(err)
			}
		}
		c := redis.NewClient(&redis.Options{Addr: "127.0.0.1:0", Dialer: func(context.Context, string, string) (net.Conn, error) { return m.Dial() }})
		t.Cleanup(func() { c.Close() })
		return c
	}
	quick, plain := open(true), open(false)
	for range 2 { // once by its source, once by its hash
		for _, source := range []string{
			"return 7", "return 'seven'", "return nil", "return false", "return true", "return {1, 'two', {3, false}, 4}", "return {}", "return {1, nil, 3}", "return {nil}", "return 1.9",
			"return redis.call('SET', KEYS[1], ARGV[1])", "return redis.call('GET', KEYS[1])", "return redis.call('GET', 'none')",
			"redis.call('ZADD', 'set', 2, 'a', 1.5, 'b') return redis.call('ZRANGE', 'set', 0, -1, 'WITHSCORES')", "return redis.call('ZSCORE', 'set', 'b')",
			"redis.call('HSET', 'hash', 'x', 12345678901234) return redis.call('HMGET', 'hash', 'x', 'y')", "return redis.call('HINCRBY', 'hash', 'x', 1)",
			"redis.call('DEL', 'log') redis.call('XADD', 'log', '1-0', 'a', 'b') return redis.call('XRANGE', 'log', '-', '+')",
			"return type(redis.pcall('HGET', KEYS[1], 'x'))", "return redis.pcall('HGET', KEYS[1], 'x').err ~= nil",
			"return string.format('%.0f', 2^53) .. #KEYS .. #ARGV .. tostring(tonumber('x'))", "return {unpack(ARGV)}",
		} {
			script := redis.NewScript(source)
			got, err := script.Run(t.Context(), quick, []string{"key"}, "one", 2).Result()
			want, wrong := script.Run(t.Context(), plain, []string{"key"}, "one", 2).Result()
			if g, w := fmt.Sprintf("%#v %v", got, err), fmt.Sprintf("%#v %v", want, wrong); g != w {
				t.Errorf("%s\ngives %s\nnot   %s", source, g, w)
			}
		}
		for _, source := range []string{"return redis.call('HGET', KEYS[1], 'x')", "error('no')", "return nobody.knows", "left = 1 return left", "return os.getenv('HOME')", "return io ~= nil", "this is no Lua", "return redis.call('NONE')"} {
			script := redis.NewScript(source)
			if got, err := script.Run(t.Context(), quick, []string{"key"}, "one", 2).Result(); err == nil {
				t.Errorf("%s gives %v", source, got)
			}
		}
	}
	if n, err := quick.ZCard(t.Context(), "set").Result(); err != nil || n != 2 {
		t.Errorf("beside the scripts: %d, %v", n, err)
	}
}
