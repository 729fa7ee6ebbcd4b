package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	goredis "github.com/redis/go-redis/v9"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// makeStored makes the stored state on an empty Redis: two conversations, and
// what a process leaves behind that dies in the middle of its work.
//
// What stands in the folder was made so by the version cfc089f on redis-server
// 7.0, and so were the replies in its conversations from the third on: at the
// commit that brought this file the program is still that one.
//
//	redis-server --port 6390 --save '' &
//	go test ./cmd/heelpost -run TestStored -remake redis://127.0.0.1:6390
//	go test ./cmd/heelpost -run TestStored -update
//
// It is made anew only to add to what a version leaves behind, and then by
// that version.
func makeStored(t *testing.T, url string) {
	if n := client(t, url).DBSize(t.Context()).Val(); n > 0 {
		t.Fatalf("%s holds %d keys: an empty Redis is wanted", url, n)
	}
	h := enter(t, "before", url)
	h.converse("1-pier", "pier-nine")
	h.converse("2-orchard", "orchard-lane")
	h.leave(time.Date(2027, 3, 25, 8, 50, 30, 0, time.UTC))
	saveState(t, url)
}

// leave works on, and ends before it is done: notices of every kind are due,
// one was claimed, some were given up, one waits to be tried again.
func (h *house) leave(now time.Time) {
	ctx, n := h.t.Context(), 0
	message := func(person, thread, text string) bot.Message {
		n++
		return bot.Message{ID: "left-" + strconv.Itoa(n), At: now.Add(time.Duration(n) * time.Second), Person: person, Channel: "doors-orchard-lane", Thread: thread, Text: text}
	}
	hear := func(m bot.Message) {
		if ok, err := h.desk.Hear(ctx, m.ID, m); err != nil || !ok {
			h.t.Fatal(ok, err)
		}
	}
	handle := func(m bot.Message) {
		if _, err := h.bot.Handle(ctx, m); err != nil {
			h.t.Fatal(err)
		}
	}
	// The word on X-1 can't be posted and never will, nor can what cy asks be
	// answered: both are given up, and the word of that waits. The word on F-2
	// waits to be tried again.
	never := &jobs.SendError{Fault: jobs.Final, Err: errors.New("the channel is archived")}
	h.rooms.refuse["X-1"], h.rooms.refuse[""], h.rooms.refuse["F-2"] = never, never, errors.New("no way there")
	handle(message("mo", "X-1", "override status because I saw the drawings"))
	handle(message("bo", "F-2", "snag the seal is torn @bo"))
	hear(message("cy", "", "gap 44 thick, 65 setback"))
	n++
	if _, err := h.runner.Step(ctx, now.Add(time.Duration(n)*time.Second)); err != nil {
		h.t.Fatal(err)
	}
	h.runner.Wait()
	// A runner has claimed something, and is gone.
	handle(message("ana", "W-2", "tick floor-control"))
	n++
	at := jobs.NowAt(now.Add(time.Duration(n) * time.Second))
	if batch, err := h.store.Claim(ctx, jobs.Claim{Runner: "gone", ID: "gone-1", Now: at, Max: 1, Lease: 20 * time.Second}); err != nil || len(batch.Notices) != 1 {
		h.t.Fatal(batch, err)
	}
	// Changes whose word, face and homes wait, and what was heard and not
	// dealt with: a question, an order, a reply, and talk that was overheard.
	handle(message("bo", "D-1", "snag the head is out of line @bo"))
	handle(message("ana", "B-7", "visit 2027-03-31 9:00 to check the sample"))
	hear(message("zoe", "", "gap 54 thick, 60 setback"))
	hear(message("bo", "C-3", "tick 8"))
	hear(message("dee", "", "gap 46"))
	hear(message("dee", "", "75"))
	talk := message("bo", "I-1", "what is the plate centre?")
	talk.Overheard = true
	hear(talk)
	n++
	at = jobs.NowAt(now.Add(time.Duration(n) * time.Second))
	err := errors.Join(h.desk.Announce(ctx, "orchard-lane", say.Plain("the lift is out until noon"), at.Time()),
		h.desk.TellOffice(ctx, "doors-orchard-lane", say.Plain("the bot was put into a channel that no site names"), at.Time()),
		h.rearrange(at.Time()))
	if err != nil {
		h.t.Fatal(err)
	}
}

// rearrange takes another file of a site into use: reminders are to be laid
// anew.
func (h *house) rearrange(now time.Time) error {
	data, err1 := os.ReadFile("../../testdata/sites/orchard-lane.yaml")
	ics, err2 := os.ReadFile("../../testdata/sites/orchard-lane.ics")
	site, err3 := jobs.ParseSite([]byte(strings.Replace(string(data), "friday: 7:00-13:00", "friday: 7:00-12:00", 1)), ics)
	if err := errors.Join(err1, err2, err3); err != nil {
		return err
	}
	return h.desk.UseSite(h.t.Context(), site)
}

// saveState writes what a Redis holds as commands, one for each field, member
// and entry, in the order of the keys.
func saveState(t *testing.T, url string) {
	t.Helper()
	ctx, rdb := t.Context(), client(t, url)
	keys, err := rdb.Keys(ctx, "*").Result()
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(keys)
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	for _, key := range keys {
		commands, err := commandsOf(t, rdb, key)
		if err != nil {
			t.Fatal(key, err)
		}
		for _, c := range commands {
			if err := e.Encode(c); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := os.WriteFile(storedState, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// commandsOf returns the commands that make a key.
func commandsOf(t *testing.T, rdb *goredis.Client, key string) (commands [][]string, err error) {
	ctx := t.Context()
	switch kind := rdb.Type(ctx, key).Val(); kind {
	case "string":
		value, err := rdb.Get(ctx, key).Result()
		return [][]string{{"SET", key, value}}, err
	case "hash":
		fields, err := rdb.HGetAll(ctx, key).Result()
		for name, value := range fields {
			commands = append(commands, []string{"HSET", key, name, value})
		}
		slices.SortFunc(commands, slices.Compare[[]string])
		return commands, err
	case "zset":
		members, err := rdb.ZRangeWithScores(ctx, key, 0, -1).Result()
		for _, m := range members {
			commands = append(commands, []string{"ZADD", key, strconv.FormatFloat(m.Score, 'f', -1, 64), m.Member.(string)})
		}
		return commands, err
	case "stream":
		entries, err := rdb.XRange(ctx, key, "-", "+").Result()
		for _, m := range entries {
			c := []string{"XADD", key, m.ID}
			for _, name := range slices.Sorted(maps.Keys(m.Values)) {
				c = append(c, name, m.Values[name].(string))
			}
			commands = append(commands, c)
		}
		return commands, err
	default:
		return nil, errors.New("a key of type " + kind)
	}
}
