package redis

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"time"

	"heelpost/jobs"
)

// deedLine is a line of a history: what a client asks for, or with Ret what it was
// answered. Times are in ns.
type deedLine struct {
	Client string `json:"c"`
	N      int    `json:"n"`
	Call   int64  `json:"call,omitempty"`
	Ret    int64  `json:"ret,omitempty"`
	What   string `json:"what"` // read, change, put, claim or settle
	On     string `json:"on,omitempty"`
	Op     string `json:"op,omitempty"`
	// Of a door: the version that was expected, or that there is.
	Version  int64  `json:"v,omitempty"`
	State    string `json:"s,omitempty"`
	Conflict bool   `json:"conflict,omitempty"`
	// Of a claim, in ms: when, until when, and what was claimed.
	Now, Till int64            `json:",omitempty"`
	Token     int64            `json:"f,omitempty"`
	Got       map[string]int64 `json:"got,omitempty"`
	Held      bool             `json:"held,omitempty"`
	Again     bool             `json:"again,omitempty"` // it was asked more than once, so what it was answered may be less than it did
}

// shortLease is how long a claim of a history lasts.
const shortLease = 40 * time.Millisecond

// historian is what a process of the histories does: some clients change the
// same doors and claim the same notices, and write down each call before it is
// made and after it was answered, until the process is killed.
func historian(ctx context.Context, s *Store, name string) {
	var mu sync.Mutex
	write := func(d deedLine) {
		data, _ := json.Marshal(d) // of numbers and texts
		mu.Lock()
		defer mu.Unlock()
		os.Stdout.Write(append(data, '\n'))
	}
	var clients sync.WaitGroup
	for i := range 3 {
		clients.Go(func() {
			c := &client{Store: s, ctx: ctx, name: fmt.Sprintf("%s-%d", name, i), write: write}
			for ctx.Err() == nil {
				c.act()
			}
		})
	}
	clients.Wait()
}

// client makes one call after the other.
type client struct {
	*Store
	ctx   context.Context
	name  string
	n     int
	write func(deedLine)
}

// call writes a call down and makes it, again and again until it is answered.
func (c *client) call(d deedLine, do func(*deedLine) error) deedLine {
	c.n++
	d.Client, d.N, d.Call = c.name, c.n, time.Now().UnixNano()
	c.write(d)
	for do(&d) != nil && c.ctx.Err() == nil {
		d.Again = true
	}
	d.Ret = time.Now().UnixNano()
	c.write(d)
	return d
}

func (c *client) act() {
	at := time.Now()
	op := fmt.Sprintf("%s.%d", c.name, c.n)
	switch rand.IntN(5) {
	case 0, 1:
		c.change(fmt.Sprintf("h/d%d-%d", at.UnixMilli()/700, rand.IntN(3)), op)
	case 2, 3:
		n := jobs.Notice{ID: "n" + op, Kind: "x", Due: jobs.NowAt(at)}
		c.call(deedLine{What: "put", On: n.ID, Op: op}, func(*deedLine) error {
			_, err := c.Commit(c.ctx, jobs.Change{Op: op, At: jobs.NowAt(at), Put: []jobs.Notice{n}})
			return err
		})
	default:
		c.take(op)
	}
}

// change reads a door and changes it, now and then by a version that is over.
func (c *client) change(key, op string) {
	d := c.call(deedLine{What: "read", On: key}, func(d *deedLine) error {
		rec, err := c.Door(c.ctx, key)
		if errors.Is(err, jobs.ErrNotFound) {
			rec, err = jobs.Record{}, nil
		}
		d.Version, d.State = rec.Version, string(rec.State)
		return err
	})
	v := max(0, d.Version-int64(rand.IntN(8)/7))
	c.call(deedLine{What: "change", On: key, Op: op, Version: v}, func(d *deedLine) error {
		_, err := c.Commit(c.ctx, jobs.Change{Op: op, At: jobs.NowAt(time.Now()), Door: &jobs.DoorChange{Key: key, Version: v, State: []byte(op), Entry: []byte("[]")}})
		if d.Conflict = errors.Is(err, jobs.ErrConflict); d.Conflict {
			err = nil
		}
		return err
	})
}

// take claims some notices and settles most of them, in time or not.
func (c *client) take(op string) {
	now := jobs.NowAt(time.Now())
	d := c.call(deedLine{What: "claim", Op: op, Now: int64(now), Till: int64(now) + shortLease.Milliseconds()}, func(d *deedLine) error {
		b, err := c.Claim(c.ctx, jobs.Claim{Runner: c.name, ID: op, Now: now, Max: 3, Lease: shortLease})
		d.Got = map[string]int64{}
		for _, n := range b.Notices {
			d.Got[n.ID] = n.Token
		}
		return err
	})
	for id, token := range d.Got {
		switch rand.IntN(6) {
		case 0:
			continue // its lease ends
		case 1:
			select {
			case <-c.ctx.Done():
			case <-time.After(rand.N(2 * shortLease)):
			}
		}
		settling := fmt.Sprintf("%s.s%d", c.name, c.n)
		c.call(deedLine{What: "settle", On: id, Op: settling, Token: token}, func(d *deedLine) error {
			held, err := c.Settle(c.ctx, c.name, settling, jobs.NowAt(time.Now()), []jobs.Settlement{{Held: jobs.Held{ID: id, Token: token}, Verdict: jobs.Sent, Note: "ts"}})
			d.Held = err == nil && held[0]
			return err
		})
	}
}
