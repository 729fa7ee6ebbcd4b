package redis

import "fmt"

// layout is the version of the key layout. It is the 1 in "hp1".
const layout = 1

// keys names every key of one workspace. All of them carry the same hash tag
// and so live in one slot of a cluster. The scripts build them from the due
// key; a test holds their spelling against this list. No key expires.
type keys struct{ tag string }

func (k keys) under(name string) string { return fmt.Sprintf("hp%d:{%s}:%s", layout, k.tag, name) }

// layout: string, the layout in use. It stands outside the version, so that
// an older program can see that a newer one was here.
func (k keys) layout() string { return fmt.Sprintf("hp:{%s}:layout", k.tag) }

// server: string, "run-id since": the run of the server that was met last, and
// when it was first met, in ms; 0 if it was the first of all.
func (k keys) server() string { return k.under("server") }

// heard: string, when a process last heard the server, to some seconds, in ms.
func (k keys) heard() string { return k.under("heard") }

// broke: string, from when on claims may be forgotten since the server that
// was met last took the place of another, in ms.
func (k keys) broke() string { return k.under("broke") }

// due: sorted set of notice ids by the time of their next try, in ms. The
// one key that the scripts declare.
func (k keys) due() string { return k.under("due") }

// lease: sorted set of claimed notice ids by the end of the lease, in ms.
func (k keys) lease() string { return k.under("lease") }

// failed: sorted set of the notice ids that were given up, by when, in ms.
func (k keys) failed() string { return k.under("failed") }

// wait: sorted set of the notice ids that are due but have another of their
// thread in front of them, by due time, in ms.
func (k keys) wait(thread string) string { return k.under("wait:" + thread) }

// busy: hash, thread to the id of the notice that holds it: from its first
// claim until it is sent, given up, moved or cancelled.
func (k keys) busy() string { return k.under("busy") }

// notice: hash of one notice: k kind, t thread, o door, d due, n claims that
// may have sent it, e failed sends, f fencing token, l looks that did not find
// it, g due again when sent, w why given up, and the arguments, each with a
// dot in front. Values over 64 bytes cost it the compact encoding, some 200
// bytes more a notice.
func (k keys) notice(id string) string { return k.under("n:" + id) }

// list: sorted set of a door's notice ids by due time, in ms.
func (k keys) list(door string) string { return k.under("list:" + door) }

// sent: stream of what was sent for a door (or for none), trimmed to about
// a thousand: id, k kind, d due, n claims, at, ref.
func (k keys) sent(door string) string { return k.under("sent:" + door) }

// token: counter of fencing tokens, one a claim.
func (k keys) token() string { return k.under("token") }

// claims: hash, runner to "claim token end-of-lease" of its last claim.
func (k keys) claims() string { return k.under("claims") }

// settled: hash, runner to "operation answer" of its last settling.
func (k keys) settled() string { return k.under("settled") }

// ops: hash of a day's operations without a door, each to how many notices it
// found; once its marks have had their time the string "closed", for good.
func (k keys) ops(day string) string { return k.under("ops:" + day) }

// open: string, the first day whose operations are not closed.
func (k keys) open() string { return k.under("open") }

// seen: sorted set of the keys of messages that came in, by when, in ms.
func (k keys) seen() string { return k.under("seen") }

// door: hash of one door: v version, s state, x memberships.
func (k keys) door(key string) string { return k.under("door:" + key) }

// log: stream of a door's changes, entry id <version>-0: op operation, at
// ms, found notices found, e the entry.
func (k keys) log(door string) string { return k.under("log:" + door) }

// index: sorted set of door keys.
func (k keys) index(name string) string { return k.under("index:" + name) }

// questions: hash, key to open question.
func (k keys) questions() string { return k.under("questions") }

// asked: sorted set of the keys of open questions by when they were put, in
// ms. Those that nobody answered go by it.
func (k keys) asked() string { return k.under("asked") }

// refs: hash, name to what an adapter bound to it; site:<id> to the hash of the
// file that the site goes by.
func (k keys) refs() string { return k.under("refs") }

// pace: sorted set of limits on calls by when they are back at rest, in ms.
func (k keys) pace() string { return k.under("pace") }

// file: string, a sheet or site file by the hash of its content.
func (k keys) file(hash string) string { return k.under("file:" + hash) }

// copied: counter of the changes whose copies were waited for; see copies.go.
func (k keys) copied() string { return k.under("copied") }

// nudge: Pub/Sub channel; a message says that something new is next.
func (k keys) nudge() string { return k.under("nudge") }

// told: stream of what was said at a place of a room of our own, entry id
// <number>-0: id, e the entry. That of a door's thread is named by the door.
func (k keys) told(place string) string { return k.under("told:" + place) }

// telling: sorted set of the ids of a place's entries by their numbers; without
// a place the counter of all entries.
func (k keys) telling(place string) string { return k.under("telling" + place) }
