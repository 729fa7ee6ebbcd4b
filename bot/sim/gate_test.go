package sim

import (
	"context"
	"slices"
	"sync"
	"testing/synctest"
)

// gate has whatever goes on side by side in one instant meet: calls of the store
// and of Slack are let through one at a time, each once everything else waits, and
// of those that wait the first by what they say, not by who came first. So it is
// the seed that tells in what order things happen, not Go's scheduler. Built for
// the race detector the gate stands open: there, what goes on side by side does.
type gate struct {
	ctx     context.Context
	mu      sync.Mutex
	waits   []*caller
	arrived chan struct{}
}

// caller is one that waits at the gate.
type caller struct {
	key  func() string
	last bool // goes when nobody else would
	on   chan struct{}
}

func newGate(ctx context.Context) *gate {
	g := &gate{ctx: ctx, arrived: make(chan struct{}, 1)}
	go g.keep()
	return g
}

// keep lets callers through.
func (g *gate) keep() {
	for {
		select {
		case <-g.arrived:
		case <-g.ctx.Done():
			return
		}
		for {
			synctest.Wait()
			c := g.next()
			if c == nil {
				break
			}
			close(c.on)
		}
	}
}

// next takes the first of those that wait; nil if nobody does.
func (g *gate) next() *caller {
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.waits) == 0 {
		return nil
	}
	first, key := 0, ""
	for i, c := range g.waits {
		if len(g.waits) == 1 {
			break
		}
		if k := c.key(); i == 0 || g.waits[first].last && !c.last || c.last == g.waits[first].last && k < key {
			first, key = i, k
		}
	}
	c := g.waits[first]
	g.waits = slices.Delete(g.waits, first, first+1)
	return c
}

func (g *gate) wait(c *caller) {
	c.on = make(chan struct{})
	g.mu.Lock()
	g.waits = append(g.waits, c)
	g.mu.Unlock()
	select {
	case g.arrived <- struct{}{}:
	default:
	}
	select {
	case <-c.on:
	case <-g.ctx.Done():
	}
}

// pass waits until it is the turn of what key tells of.
func (g *gate) pass(key func() string) {
	if g != nil && !racing {
		g.wait(&caller{key: key})
	}
}

// settle waits until nothing goes on beside the caller in this instant.
func (g *gate) settle() {
	if g == nil || racing {
		synctest.Wait()
		return
	}
	g.wait(&caller{key: func() string { return "" }, last: true})
}
