package talk

import (
	"fmt"

	"heelpost/bot/order"
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
	var items []jobs.Item
	if x.door != nil {
		items = x.door.Items()
	}
	parts, sure := order.Parts(x.m.Text, items)
	switch {
	case len(parts) == 0:
		return out, false, nil
	case !sure:
		return ofOrder(order.AskParts(x.desk, x.m, parts)), true, nil
	}
	out, err = x.each(parts)
	return out, true, err
}

// each deals with several texts as if they had been said one after the other, each
// change by an id of its own. The last settles the message.
func (x *exchange) each(parts []string) (out outcome, err error) {
	out.waiting = x.waiting
	for i, part := range parts {
		sub := *x
		sub.m.Text, sub.m.Joined, sub.notReply, sub.front, sub.waiting = part, false, nil, "", out.waiting
		sub.m.ID = fmt.Sprintf("%s/%d", x.m.ID, i+1)
		if i < len(parts)-1 {
			sub.m.Held, sub.m.Followed = jobs.Held{}, true
		}
		one, err := sub.one()
		if err != nil {
			return out, err
		}
		if before := out.waiting.order; before != nil && one.waiting.order != nil && one.waiting.order != before {
			one.waiting.order.AheadOf(before)
			one.waiting.kept = one.waiting.order.Marshal()
		}
		one.posts = append(out.posts, one.posts...)
		out = one
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
