// Package redis keeps a workspace in Redis: doors with their logs, notices,
// open questions. It is the only package that knows the client library.
//
// # A notice's life
//
//	              put                  claim
//	(nothing) ──────────▶ due ───────────────────▶ leased
//	                      ▲ ▲ ▲                     │ │ │
//	  thread is free      │ │ │ retry, release      │ │ │
//	waiting ──────────────┘ │ └─────────────────────┘ │ │
//	   ▲                    │                         │ │
//	   │ claim: its thread  │ move (retry by hand)    │ │ give up
//	   └─ is held by another│                         │ ▼
//	                        └──────── failed ◀────────┼─┘
//	lease ends: the next claim takes it over;         │ sent
//	the post is looked for first                      ▼
//	                                              (nothing; a line in "sent")
//
// A notice is in exactly one of due, lease, wait:<thread> and failed. It
// holds its thread from its first claim until it is sent, given up, moved or
// cancelled. One that is put or moved while it is being sent goes out again
// at its new time.
//
// # What a crash means
//
// Each line is one script: it happened or it did not.
//
//   - before the message is stored (receive): the far side was not told
//     "received" and sends it again.
//
//   - after that, before the change (commit): the message is a notice that
//     is due; a runner takes it, or takes it over when the lease of one that
//     died has ended.
//
//   - after the change, before the posts: they are notices that are due.
//
//   - after the claim, before the post: the lease ends, the next runner looks
//     for the post twice, does not find it and sends it.
//
//   - after the post, before it is settled: the next runner finds the post
//     and settles it. A double is possible only if both looks miss it.
//
//   - after settling: nothing is left to do.
//
//   - Redis itself dies and comes back, or another server takes its place,
//     without the last writes: what came due in the seconds before is looked
//     for, and so is what comes again to the process that sent it (lost.go).
//
// A claim that may have sent its notice counts as a claim, a send that failed
// as a failed send: the first makes the next claim look, the second is a try.
//
// # What a failover means
//
// A replica has what it has been sent, so a new master may lack the last
// changes. Where copies are waited for (see [Options]) those that were
// acknowledged are there; the rest, and every claim and settling since, may be
// lost. Then a notice is claimed again, and its post is looked for because
// another server answers.
//
// # Repetition
//
// The client repeats a call whose reply was lost, so every script may run
// twice. A door's change is known by the operation in its log entry, any
// other change by its mark in ops, a claim and a settling by the last one of
// their runner, a receipt by its id. The repetition returns the first
// answer. Marks of operations are kept by day, for the day that follows too;
// then the day is closed, and an operation made in it is refused.
//
// # Keys
//
// keys.go names them all. They share one hash tag for each workspace, so a
// workspace lives on one master and a script touches one slot.
package redis
