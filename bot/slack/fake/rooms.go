package fake

import (
	"slices"
	"strconv"
	"strings"
)

// seen finds a channel that the bot can see.
func (s *Server) seen(channel string) (*room, error) {
	r := s.rooms[channel]
	if r == nil || !r.member(Bot) && r.kind() != "channel" {
		return nil, refuse("channel_not_found")
	}
	return r, nil
}

// inside finds a channel that the bot is in.
func (s *Server) inside(channel string) (*room, error) {
	r, err := s.seen(channel)
	if err == nil && !r.member(Bot) {
		err = refuse("not_in_channel")
	}
	return r, err
}

// open finds a channel that the bot can post to; a person stands for the
// direct message with them.
func (s *Server) open(channel string) (*room, error) {
	if s.people[channel] != nil && channel != Bot {
		channel = s.directWith(channel).ID
	}
	r, err := s.inside(channel)
	if err == nil && r.Archived {
		err = refuse("is_archived")
	}
	return r, err
}

// micros is a ts as a number, 0 if it is none.
func micros(ts string) int64 {
	whole, part, _ := strings.Cut(ts, ".")
	sec, _ := strconv.ParseInt(whole, 10, 64)
	us, _ := strconv.ParseInt((part + "000000")[:6], 10, 64)
	return sec*1e6 + us
}

// since are the messages that stand in a list after the time asked for.
func since(c *call, all []*Message) []*Message {
	return slices.DeleteFunc(slices.Clone(all), func(m *Message) bool { return micros(m.TS) <= micros(c.args["oldest"]) })
}

// history is a channel without its threads, the newest first.
func history(s *Server, c *call) (reply, error) {
	r := c.room
	all := slices.DeleteFunc(since(c, r.top), func(m *Message) bool { return m.Deleted && len(standing(r.threads[m.TS])) == 0 })
	slices.Reverse(all)
	return s.page(c, all)
}

// replies are a thread, its root first, whatever time is asked for.
func replies(s *Server, c *call) (reply, error) {
	r := c.room
	root := r.byTS[c.args["ts"]]
	if root == nil || root.Deleted && len(standing(r.threads[root.TS])) == 0 {
		return nil, refuse("thread_not_found")
	}
	return s.page(c, append([]*Message{root}, since(c, standing(r.threads[root.TS]))...))
}

// page is one page of messages; the cursor names the message it starts with,
// so that what is posted meanwhile moves nothing.
func (s *Server) page(c *call, all []*Message) (reply, error) {
	if cursor := c.args["cursor"]; cursor != "" {
		at := slices.IndexFunc(all, func(m *Message) bool { return "next_ts:"+m.TS == cursor })
		if at < 0 {
			return nil, refuse("invalid_cursor")
		}
		all = all[at:]
	}
	next, limit := "", 100
	if n, _ := strconv.Atoi(c.args["limit"]); n > 0 {
		limit = min(n, 999)
	}
	if len(all) > limit {
		next = "next_ts:" + all[limit].TS
		all = all[:limit]
	}
	meta, _ := strconv.ParseBool(c.args["include_all_metadata"])
	out := []reply{}
	for _, m := range all {
		out = append(out, s.json(c.room, m, meta))
	}
	return reply{"messages": out, "has_more": next != "", "response_metadata": reply{"next_cursor": next}}, nil
}

func (r *room) json() reply {
	kind := r.kind()
	return reply{"id": r.ID, "is_channel": kind == "channel", "is_group": kind == "group", "is_im": kind == "im", "user": r.With,
		"is_private": kind != "channel", "is_archived": r.Archived, "is_member": r.member(Bot), "name": r.Name, "name_normalized": r.Name}
}

func channelInfo(_ *Server, c *call) (reply, error) { return reply{"channel": c.room.json()}, nil }

func channelOpen(s *Server, c *call) (reply, error) {
	person := s.people[c.args["users"]] // the direct message with one: others are not part of this fake
	switch {
	case person == nil || person.Bot:
		return nil, refuse("user_not_found")
	case person.Deleted:
		return nil, refuse("user_disabled") // from memory
	}
	there := s.rooms[directID(person.ID)] != nil
	return reply{"channel": s.directWith(person.ID).json(), "no_op": there, "already_open": there}, nil
}
