// Package sim is a building site in fake time, made from one number: people
// who work and make mistakes, three processes with their runners, the store,
// a far side, and all that can go wrong between them. It holds only tests. It
// exists because what is tried by hand, or written down as a conversation, is
// what somebody thought of: here a month passes in about a second, and rules
// that are written apart from the program watch every step of it.
//
// In most seeds the far side is met at the contract of package bot (posts,
// faces, homes), with faults of its own: replies that are lost after the post,
// limits, outages, a process that stops while it posts. In every fourth it is
// Slack, in the likeness of package fake, and each process has an adapter: what
// people do there comes as signed requests, and all calls go from hand to hand
// with the same faults. In every sixteenth it comes over Socket Mode, by
// pipes within the process, as a goroutine that waits for the network would keep
// fake time from passing: sockets are cut, renewed and silent, envelopes come
// twice and in another order, and after an outage what was missed is read back.
//
// Every eighth seed runs its scripts in a plain miniredis, and its processes
// poll as servers do; the others keep what scripts run in, and claim when there
// is something to claim.
//
// One seed gives the same bytes each time: whoever acts, acts alone, all chance
// comes from the seed, and what goes on side by side where Slack is the far side
// meets at a gate, what comes over sockets too. Only built for the race detector
// does it go on as it comes. A run that breaks a rule is cut down to the fewest
// actions that still break it, and those are printed.
package sim
