// Package peer does on a general task queue the work that the store's own
// benchmarks do, so that both can be run in turn on the same machine. It is a
// module of its own, so that the program does not depend on the queue.
package peer

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/hibiken/asynq"
	"github.com/redis/go-redis/v9"
)

// connect starts a redis-server with what bears on speed set as the store's
// benchmarks have it, new for each of them as theirs is, and returns a way to
// it.
func connect(b *testing.B) asynq.RedisClientOpt {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	l.Close()
	addr := l.Addr().String()
	_, port, _ := net.SplitHostPort(addr)
	cmd := exec.Command("redis-server", "--port", port, "--bind", "127.0.0.1", "--dir", b.TempDir(), "--save", "", "--appendonly", "yes",
		"--appendfsync", "everysec", "--auto-aof-rewrite-percentage", "0", "--maxmemory-policy", "noeviction", "--loglevel", "warning")
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	c := redis.NewClient(&redis.Options{Addr: addr})
	defer c.Close()
	for began := time.Now(); ; {
		if err = c.Ping(b.Context()).Err(); err == nil {
			return asynq.RedisClientOpt{Addr: addr}
		}
		if time.Since(began) > 10*time.Second {
			b.Fatal(err)
		}
	}
}

// info reads a number that the server tells of itself.
func info(b *testing.B, opt asynq.RedisClientOpt, section, name string) float64 {
	c := redis.NewClient(&redis.Options{Addr: opt.Addr})
	defer c.Close()
	text, err := c.Info(b.Context(), section).Result()
	if err != nil {
		b.Fatal(err)
	}
	_, rest, _ := strings.Cut(text, name+":")
	value, _, _ := strings.Cut(rest, "\r")
	n, err := strconv.ParseFloat(value, 64)
	if err != nil {
		b.Fatal(err)
	}
	return n
}

func payload() []byte {
	p, _ := json.Marshal(map[string]string{
		"site": "north-yard-block-c-2", "door": "A-101-second-floor-01", "who": "U0123456789", "by": "U9876543210",
		"text": "check the control sample, then the plate's four bonds",
	})
	return p
}

func each(b *testing.B, n, callers int, do func(i int) error) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range callers {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				if err := do(i); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
}

func BenchmarkNotice(b *testing.B) {
	for _, callers := range []int{1, 8, 64} {
		for _, name := range []string{"schedule", "cancel", "reschedule"} {
			b.Run(fmt.Sprintf("%s/callers=%d", name, callers), func(b *testing.B) {
				opt := connect(b)
				c, ins := asynq.NewClient(opt), asynq.NewInspector(opt)
				defer c.Close()
				defer ins.Close()
				task, at := asynq.NewTask("cure", payload()), time.Now().Add(24*time.Hour)
				put := func(i int) error {
					_, err := c.EnqueueContext(b.Context(), task, asynq.ProcessAt(at), asynq.TaskID(strconv.Itoa(i)))
					return err
				}
				do := put
				if name != "schedule" {
					each(b, b.N, 8, put)
					do = func(i int) error { return ins.DeleteTask("default", strconv.Itoa(i)) }
				}
				if name == "reschedule" {
					remove := do
					do = func(i int) error {
						if err := remove(i); err != nil {
							return err
						}
						return put(i)
					}
				}
				before := info(b, opt, "cpu", "used_cpu_user") + info(b, opt, "cpu", "used_cpu_sys")
				b.ResetTimer()
				each(b, b.N, callers, do)
				b.StopTimer()
				b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "ops/s")
				after := info(b, opt, "cpu", "used_cpu_user") + info(b, opt, "cpu", "used_cpu_sys")
				b.ReportMetric((after-before)*1e6/float64(b.N), "server-µs/op")
			})
		}
	}
}

// BenchmarkMemory is for -benchtime 1x.
func BenchmarkMemory(b *testing.B) {
	opt := connect(b)
	used := func() float64 { return info(b, opt, "memory", "used_memory") }
	c := asynq.NewClient(opt)
	defer c.Close()
	task, at, before := asynq.NewTask("cure", payload()), time.Now().Add(24*time.Hour), used()
	each(b, 100_000, 8, func(i int) error {
		_, err := c.EnqueueContext(b.Context(), task, asynq.ProcessAt(at), asynq.TaskID(strconv.Itoa(i)))
		return err
	})
	b.ReportMetric((used()-before)/100_000, "B/notice")
}

// BenchmarkFire drains 100,000 tasks due in one second with the queue's best
// settings; for -benchtime 1x.
func BenchmarkFire(b *testing.B) {
	const n = 100_000
	opt := connect(b)
	c := asynq.NewClient(opt)
	defer c.Close()
	first := time.Now().Add(12 * time.Second)
	each(b, n, 8, func(i int) error {
		_, err := c.EnqueueContext(b.Context(), asynq.NewTask("cure", payload()), asynq.ProcessAt(first.Add(time.Duration(i)*time.Second/n)))
		return err
	})
	var left atomic.Int64
	left.Store(n)
	done := make(chan struct{})
	srv := asynq.NewServer(opt, asynq.Config{Concurrency: 64, DelayedTaskCheckInterval: time.Millisecond, TaskCheckInterval: time.Millisecond, LogLevel: asynq.FatalLevel})
	err := srv.Start(asynq.HandlerFunc(func(context.Context, *asynq.Task) error {
		if left.Add(-1) == 0 {
			close(done)
		}
		return nil
	}))
	if err != nil {
		b.Fatal(err)
	}
	<-done
	b.ReportMetric(n/time.Since(first).Seconds(), "sent/s")
	srv.Shutdown()
}
