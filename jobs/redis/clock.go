package redis

import (
	"time"
)

// sample is what one reply tells of the server's clock.
type sample struct {
	took   time.Duration
	offset time.Duration // server minus local, at least
}

// observe learns from a reply that holds the server's time. The server read
// its clock before the reply came in: the offset is at least its time minus
// ours now. Taking that bound may make us late by the time the reply took,
// and never early.
func (s *Store) observe(sent, server time.Time) {
	now := s.clock()
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.offsets) == 10 {
		s.offsets = s.offsets[1:]
	}
	s.offsets = append(s.offsets, sample{took: now.Sub(sent), offset: server.Sub(now)})
}

// Now returns the server's time when the local clock shows local: the offset
// is that of the fastest of the last ten replies.
func (s *Store) Now(local time.Time) time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	best := s.offsets[0]
	for _, o := range s.offsets {
		if o.took < best.took {
			best = o
		}
	}
	return local.Add(best.offset)
}
