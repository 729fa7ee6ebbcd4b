// Package redis keeps a workspace in Redis: doors, their logs, notices, open
// questions and kept files. It exists so that every process can die at any
// line: Redis is the only place where state lives, and every change is one
// script, whole or not at all.
//
// All keys of a workspace carry one hash tag and live in one slot; keys.go
// names them with their contents. Scripts declare the due key and build the
// others under its tag; each is headed by what it takes and what it returns.
// The present is an argument of every script, never the server's clock.
//
// # Guarantees
//
// A change that was acknowledged is in the store, as far as the server keeps
// its word (appendfsync always, see deploy/redis.conf). A repeated operation
// changes nothing and returns its first answer, so a client may repeat what
// it lost the reply to. The state of a door is the fold of its log. A notice
// is in exactly one place: due, leased, waiting behind another of its thread,
// or failed.
//
// # A notice's life
//
//	put ──> due ──claim──> leased ──sent──> gone, noted in the sent stream
//	         ^                │
//	         │                ├─ retry: due again, later; the attempt counts
//	         │                ├─ release (rate limit): due again, none counted
//	         │                ├─ lease ran out: claimed by anybody, attempt + 1
//	         └─ moved ────────┴─ given up: failed, kept with its reason
//
// A claim carries a fencing token; a settlement with an old one changes
// nothing. A runner that dies after the post and before the settlement leaves
// a lease to run out; the next one looks for the post by its id before it
// sends. What stays possible is a runner that is stopped as it begins to send
// and goes on when another has sent: a double, where the answer to the first
// was not known to it.
package redis
