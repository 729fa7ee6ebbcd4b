package talk

import (
	"cmp"
	"fmt"
	"slices"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// parts deals with what is several orders, or orders and a question, in one text:
// tick joint; tick carrier. Where the one may be a remark to the other it is asked.
func (x *exchange) parts() (out outcome, done bool, err error) {
	if x.m.Overheard || len(x.m.Files) > 0 || !order.MayHaveParts(x.m.Text) {
		return out, false, nil
	}
	if err := x.atDoor(); err != nil {
		return out, true, err
	}
	parts, sure := order.Parts(x.m.Text, x.itemsOf)
	switch {
	case x.failed != nil:
		return out, true, x.failed
	case len(parts) == 0:
		return out, false, nil
	case !sure:
		return ofOrder(order.AskParts(x.desk, x.m, parts)), true, nil
	}
	out, err = x.each(parts)
	return out, true, err
}

// itemsOf returns the list of a door that is named, or of the one in whose thread the
// message stands.
func (x *exchange) itemsOf(id string) []jobs.Item {
	door := x.door
	if id != "" {
		at := x.m
		at.Thread = id
		named, err := x.desk.About(x.ctx, at)
		x.failed = cmp.Or(x.failed, err)
		door = named
	}
	if door == nil {
		return nil
	}
	return door.Items()
}

// each deals with several texts as if they had been said one after the other, each
// change by an id of its own; after one that was refused or is asked about, none is
// made that may rest on it. No change settles the message or closes what waited: if
// the process dies, the whole is dealt with again, and nothing that was said is lost.
func (x *exchange) each(parts []string) (out outcome, err error) {
	out.waiting = x.waiting
	var left []say.Text
	stopped := false
	for i, part := range parts {
		if order.NeverBehind(part) || stopped && order.Rests(part) {
			left, stopped = append(left, say.Plain(lex.CutText(part, 60))), true
			continue
		}
		id := fmt.Sprintf("%s/%d", x.m.ID, i+1)
		if done, err := order.IsDone(x.ctx, x.desk, x.m, part, id); err != nil {
			return out, err
		} else if done {
			out.waiting = waiting{}
			continue
		}
		sub := *x
		sub.m.Text, sub.m.Joined, sub.notReply, sub.front, sub.waiting = part, false, nil, "", out.waiting
		sub.m.ID, sub.m.Held, sub.m.Waited = id, jobs.Held{}, false
		sub.m.Followed = i < len(parts)-1
		one, err := sub.one()
		if err != nil {
			return out, err
		}
		if before := out.waiting.order; before != nil && one.waiting.order != nil && one.waiting.order != before {
			one.waiting.order.AheadOf(before)
			one.waiting.kept = one.waiting.order.Marshal()
		}
		stopped = stopped || order.Changes(part) && slices.ContainsFunc(one.posts, func(p bot.Post) bool { return p.Kind == bot.KindError || p.Kind == bot.KindAsk })
		one.posts = append(out.posts, one.posts...)
		out = one
	}
	out.settled = false
	if len(left) > 0 {
		out.posts = append(out.posts, x.m.Reply(bot.KindError, x.Language.Say(say.F("not done with the others: %s; say it by itself", say.Join(" | ", left...)))))
	}
	return out, nil
}

// one deals with a text that is one order or one question.
func (x *exchange) one() (outcome, error) {
	if x.desk != nil {
		if out, done, err := x.order(); done || err != nil {
			return out, err
		}
	}
	return x.question()
}
