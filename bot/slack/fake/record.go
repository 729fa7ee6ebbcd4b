package fake

import (
	"maps"
	"slices"
	"time"
)

// record is what a server remembers for tests to look at.
type record struct {
	posted  map[string]int
	calls   map[string]int
	expired map[string]bool // envelopes that are done with
	refused []Refusal
	failed  []Failure
	stats   Stats
	delays  []time.Duration
}

// Refusal is a call that was answered with an error.
type Refusal struct {
	Method  string
	Code    string // Slack's word for it, or the HTTP status
	Details []string
}

// Failure is something that a person did and got no proper answer to.
type Failure struct {
	User   string
	Kind   string // slash_commands, block_actions, view_submission, …
	Reason string
}

// Stats are counts of what was sent to the app. Each attempt counts as sent.
type Stats struct {
	Sent    int
	Acked   int // in time
	Late    int // after the deadline, or more than once
	Lost    int // attempts that nobody answered in time
	GivenUp int // events that were never answered
	TooBig  int // answers of 20,480 bytes or more, dropped
	Unknown int // answers to nothing that was sent
	Sockets int // connections opened so far
}

// PostsOf counts the messages posted whose metadata has this id.
func (s *Server) PostsOf(id string) int { return see(s, func() int { return s.posted[id] }) }

// Posted counts the messages posted by the id in their metadata.
func (s *Server) Posted() map[string]int {
	return see(s, func() map[string]int { return maps.Clone(s.posted) })
}

// Calls counts the calls of a method, refused ones too. Response URLs are
// counted as response_url, uploads as upload.
func (s *Server) Calls(method string) int { return see(s, func() int { return s.calls[method] }) }

// Refused are the calls that were answered with an error, faults among them.
func (s *Server) Refused() []Refusal {
	return see(s, func() []Refusal { return slices.Clone(s.refused) })
}

// Failed is what people saw fail.
func (s *Server) Failed() []Failure {
	return see(s, func() []Failure { return slices.Clone(s.failed) })
}

// Stats are the counts so far.
func (s *Server) Stats() Stats { return see(s, func() Stats { return s.stats }) }

// Delays are how long the answers in time took, the shortest first.
func (s *Server) Delays() []time.Duration {
	return see(s, func() []time.Duration { return slices.Sorted(slices.Values(s.delays)) })
}

// Sockets is the number of connections open now.
func (s *Server) Sockets() int { return see(s, func() int { return len(s.conns) }) }

// Unacked is how much is neither answered nor given up: it waits for an answer
// or to be sent again.
func (s *Server) Unacked() int { return see(s, func() int { return s.unacked }) }
