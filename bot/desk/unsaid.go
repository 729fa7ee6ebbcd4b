package desk

import (
	"context"
	"maps"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Unsaid returns the notice by which the foreman hears of what somebody was asked
// and did not answer; the order that yes to its first question stands for is kept.
func (d *Desk) Unsaid(m bot.Message, text say.Text, due time.Time, order string, question say.Text) []jobs.Notice {
	notices := d.toForeman(m, m.UnsaidID(), text, due)
	for i := range notices {
		notices[i].Args["order"] = order
		tell.Keep(notices[i].Args, "question", question)
	}
	return notices
}

// Lapsed returns the notice by which whoever gave an order hears that it was not
// done, where nobody answers by then what it led to.
func (d *Desk) Lapsed(ctx context.Context, m bot.Message, order string, due time.Time) ([]jobs.Notice, error) {
	m.ID, m.Text, m.At, m.Files, m.Texts = m.LapsedID(), order, due, nil, nil
	n, err := d.keptAs(ctx, m, bot.Lapsed)
	return []jobs.Notice{n}, err
}

// unsaidFor is how long a foreman who was told of an unanswered question may say yes
// to it: our own.
const unsaidFor = 24 * time.Hour

// UnsaidTold returns what is kept of such a notice when it is sent: that a yes of
// the foreman's may be to it. Nothing is said of it when it is over.
func (d *Desk) UnsaidTold(n jobs.Notice, p *bot.Post) []jobs.Notice {
	if n.Args["order"] == "" || p.Door == "" {
		return nil
	}
	n.Args = maps.Clone(n.Args)
	n.Args["who"] = p.To
	return []jobs.Notice{{ID: n.ID, Kind: Told, Args: n.Args, Door: p.Door, Thread: p.Door, Due: jobs.DueAt(d.Clock().Add(unsaidFor))}}
}

// Told is the kind of notice that keeps what somebody was told of an unanswered
// question.
const Told = "told"

// UnsaidTo returns the order and the question of an unanswered question at a door
// that somebody was told of, and the notice that keeps it; "" if there is none.
func (d *Desk) UnsaidTo(ctx context.Context, j *jobs.Job, who string) (order, id string, question say.Text, err error) {
	list, err := d.store.Notices(ctx, j.Key, 0, maxNotices)
	for _, n := range list {
		if n.Kind == Told && n.Args["who"] == who {
			return n.Args["order"], n.ID, tell.Kept(n.Args, "question"), err
		}
	}
	return "", "", question, err
}
