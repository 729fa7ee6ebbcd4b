package redis

import (
	_ "embed"

	"github.com/redis/go-redis/v9"
)

var (
	//go:embed scripts/lib.lua
	libSource string
	//go:embed scripts/commit.lua
	commitSource string
	//go:embed scripts/put.lua
	putSource string
	//go:embed scripts/cancel.lua
	cancelSource string
	//go:embed scripts/move.lua
	moveSource string
	//go:embed scripts/receive.lua
	receiveSource string
	//go:embed scripts/claim.lua
	claimSource string
	//go:embed scripts/settle.lua
	settleSource string
	//go:embed scripts/sweep.lua
	sweepSource string
	//go:embed scripts/tidy.lua
	tidySource string
	//go:embed scripts/notices.lua
	noticesSource string
	//go:embed scripts/doors.lua
	doorsSource string
	//go:embed scripts/index.lua
	indexSource string
	//go:embed scripts/purge.lua
	purgeSource string
	//go:embed scripts/pace.lua
	paceSource string
	//go:embed scripts/replace.lua
	replaceSource string
	//go:embed scripts/overdue.lua
	overdueSource string
	//go:embed scripts/keep.lua
	keepSource string
	//go:embed scripts/bind.lua
	bindSource string
	//go:embed scripts/tell.lua
	tellSource string
)

// scripts are the programs that Redis runs for us.
type scripts struct {
	commit, put, cancel, move, receive, claim, settle, sweep, tidy, notices, doors, index, purge, pace, replace, overdue, keep, bind, tell *redis.Script
}

// newScripts makes the scripts, each with head and the shared part in front.
func newScripts(head string) scripts {
	script := func(source string) *redis.Script { return redis.NewScript(head + libSource + source) }
	return scripts{
		commit:  script(commitSource),
		put:     redis.NewScript(head + putSource),
		cancel:  redis.NewScript(head + cancelSource),
		move:    redis.NewScript(head + moveSource),
		receive: script(receiveSource),
		claim:   script(claimSource),
		settle:  script(settleSource),
		sweep:   script(sweepSource),
		tidy:    script(tidySource),
		notices: script(noticesSource),
		doors:   script(doorsSource),
		index:   script(indexSource),
		purge:   script(purgeSource),
		pace:    script(paceSource),
		replace: script(replaceSource),
		overdue: script(overdueSource),
		keep:    script(keepSource),
		bind:    script(bindSource),
		tell:    script(tellSource),
	}
}
