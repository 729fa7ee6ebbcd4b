package talk

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"sync"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

// keptQuestion is what waits at a place, and the message that led to it.
type keptQuestion struct {
	Question []byte    `json:"question"`
	Until    time.Time `json:"until"`
	Op       string    `json:"op,omitempty"`
	Before   []byte    `json:"before,omitempty"`
}

// at returns what waited when the message op came in.
func (k *keptQuestion) at(op string, now time.Time) []byte {
	switch {
	case k.Op == op && op != "":
		return k.Before
	case k.Until.After(now):
		return k.Question
	}
	return nil
}

// Memory is a [Pending] in memory: it forgets all with the process.
type Memory struct {
	mu   sync.Mutex
	kept map[bot.Place]keptQuestion
}

// Get returns a question, and forgets all that are out of date.
func (m *Memory) Get(_ context.Context, op string, p bot.Place, now time.Time) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	maps.DeleteFunc(m.kept, func(_ bot.Place, k keptQuestion) bool { return !k.Until.After(now) })
	k := m.kept[p]
	return k.at(op, now), nil
}

// Put keeps a question.
func (m *Memory) Put(_ context.Context, op string, p bot.Place, question, before []byte, _, until time.Time, _ jobs.Change) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.kept == nil {
		m.kept = map[bot.Place]keptQuestion{}
	}
	m.kept[p] = keptQuestion{question, until, op, before}
	return nil
}

// Stored is a [Pending] in the store of the doors: it outlives the process,
// and a reply may come to another one.
type Stored struct{ Store jobs.Store }

// Get returns a question.
func (s Stored) Get(ctx context.Context, op string, p bot.Place, now time.Time) ([]byte, error) {
	data, err := s.Store.Question(ctx, p.Key())
	if errors.Is(err, jobs.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var k keptQuestion
	if err := json.Unmarshal(data, &k); err != nil {
		return nil, nil // a newer bot's; an answer without it is better than none
	}
	return k.at(op, now), nil
}

// Put keeps a question.
func (s Stored) Put(ctx context.Context, op string, p bot.Place, question, before []byte, now, until time.Time, with jobs.Change) error {
	data, err := json.Marshal(keptQuestion{question, until, op, before})
	if err != nil {
		return err
	}
	with.Op, with.At, with.Questions = op+":asked:"+p.Key(), jobs.NowAt(now), map[string][]byte{p.Key(): data}
	_, err = s.Store.Commit(ctx, with)
	return err
}
