package talk

import (
	"time"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/order"
)

// waiting is what waits for a reply at a place: a question, an order, or
// nothing.
type waiting struct {
	kept     []byte // as it is stored, nil for nothing
	question *ask.Open
	order    *order.Unfinished
	answered *ask.Open // nothing waits, but this can be followed up
	over     time.Time // nothing waits, but something else was said then
}

// readWaiting reads what was kept of a place.
func readWaiting(kept []byte) waiting {
	w := waiting{kept: kept, order: order.Unmarshal(kept)}
	if w.order == nil {
		w.question = ask.UnmarshalOpen(kept)
	}
	if w.order != nil && !w.order.Over.IsZero() {
		return waiting{kept: kept, over: w.order.Over}
	}
	if w.question != nil && w.question.Answered {
		w.question, w.answered = nil, w.question
	}
	if w.none() && w.answered == nil {
		return waiting{}
	}
	return w
}

func (w *waiting) none() bool { return w.question == nil && w.order == nil }

// told returns the notice that keeps what somebody else was asked and whoever
// speaks was told of, if that is what waits.
func (w *waiting) told() string {
	if w.order == nil {
		return ""
	}
	return w.order.Told
}

// outcome is what came of a message.
type outcome struct {
	posts   []bot.Post
	waiting waiting // from now on
	settled bool    // a change was made: the message is done with
}

// refused reports whether a message in a door's thread led to nothing, and nothing
// waits: a yes that follows is not to what was asked before it.
func (o *outcome) refused(m bot.Message) bool {
	return m.Thread != "" && !m.Overheard && o.waiting.none() && o.waiting.answered == nil && len(o.posts) > 0 && o.posts[0].Kind == bot.KindError
}

// ofOrder returns what came of an order.
func ofOrder(o order.Outcome) outcome {
	out := outcome{posts: o.Posts, settled: o.Settled}
	if o.Waiting != nil {
		out.waiting = waiting{kept: o.Waiting.Marshal(), order: o.Waiting}
	}
	return out
}
