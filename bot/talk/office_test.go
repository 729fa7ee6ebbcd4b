package talk_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/talk"
	"heelpost/jobs"
	"heelpost/jobs/redis/redistest"
)

// works is a desk with all that works at it.
type works struct {
	*desk.Desk
	*jobs.Runner
	bot *talk.Bot
}

// gatherFor is how long before work begins the morning's reminders are due.
const gatherFor = desk.GatherFor

func newWorks(name string, store jobs.Store, poster bot.Poster) *works {
	_, faces := poster.(bot.Rooms)
	d := desk.New(store, faces)
	b := talk.New(talk.Stored{Store: store}, d)
	return &works{d, notify.New(name, d, poster, b.Hear), b}
}

// wall keeps what is posted, and fails while it is told to.
type wall struct {
	mu     sync.Mutex
	broken error
	posts  []bot.Post
}

func (w *wall) Post(_ context.Context, p bot.Post) (string, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.broken != nil {
		return "", w.broken
	}
	w.posts = append(w.posts, p)
	return p.ID, nil
}

func (*wall) Find(context.Context, bot.Post) (string, bool, error) { return "", false, nil }

// office is a desk at the invented site, with a clock moved by hand.
type office struct {
	t interface {
		Helper()
		Fatal(...any)
		Fatalf(string, ...any)
	}
	ctx   context.Context
	store jobs.Store
	desk  *works
	bot   *talk.Bot
	site  *jobs.Site
	wall  wall
	now   time.Time
	n     int
}

func newOffice(t testing.TB) *office {
	t.Helper()
	store := redistest.Open(t, "forms")
	o := &office{t: t, ctx: t.Context(), store: store}
	o.work(store)
	o.now = time.Date(2027, 3, 1, 8, 0, 0, 0, o.site.Zone)
	return o
}

// work puts a desk at a store.
func (o *office) work(store jobs.Store) {
	o.t.Helper()
	o.desk = newWorks("t", store, &o.wall)
	o.bot = o.desk.bot
	if err := o.desk.UseSheet(o.ctx, read(o.t, "sheets/orchard.yaml")); err != nil {
		o.t.Fatal(err)
	}
	var err error
	if o.site, err = jobs.ParseSite(read(o.t, "sites/orchard-lane.yaml"), read(o.t, "sites/orchard-lane.ics")); err != nil {
		o.t.Fatal(err)
	}
	if err := o.desk.UseSite(o.ctx, o.site); err != nil {
		o.t.Fatal(err)
	}
}

func (o *office) message(who, thread, text string) bot.Message {
	o.n++
	return bot.Message{ID: fmt.Sprintf("m%d", o.n), At: o.now, Person: who, Channel: o.site.Channels[0], Thread: thread, Text: text}
}

// settle sends what is due, and returns all that was posted with what was
// said at once.
func (o *office) settle(posts []bot.Post, err error) []bot.Post {
	o.t.Helper()
	if err != nil {
		o.t.Fatal(err)
	}
	if _, err := o.desk.Settle(o.ctx, o.now); err != nil {
		o.t.Fatal(err)
	}
	posts = append(posts, o.wall.posts...)
	o.wall.posts = nil
	return posts
}

func (o *office) say(who, thread, text string) []bot.Post {
	o.t.Helper()
	return o.settle(o.bot.Handle(o.ctx, o.message(who, thread, text)))
}

func (o *office) press(who, thread, say string) []bot.Post {
	o.t.Helper()
	return o.settle(o.bot.Press(o.ctx, o.message(who, thread, say)))
}

func (o *office) submit(who, thread, id string, values map[string]string) (map[string]string, []bot.Post) {
	o.t.Helper()
	wrong, posts, err := o.bot.Submit(o.ctx, o.message(who, thread, ""), id, values)
	return wrong, o.settle(posts, err)
}

// look is what a store holds of the site: nothing of it may change where
// something is refused.
func (o *office) look() map[string]string {
	o.t.Helper()
	recs, total, err := o.store.Doors(o.ctx, o.site.ID+"/all", 0, 100)
	if err != nil {
		o.t.Fatal(err)
	}
	tally, err := o.store.Tally(o.ctx)
	if err != nil {
		o.t.Fatal(err)
	}
	seen := map[string]string{"": fmt.Sprint(total, tally)}
	for _, r := range recs {
		seen[r.Key] = fmt.Sprint(r.Version, string(r.State))
	}
	return seen
}

func (o *office) version(id string) int64 {
	o.t.Helper()
	rec, err := o.store.Door(o.ctx, jobs.DoorKey(o.site.ID, id))
	if err != nil && !errors.Is(err, jobs.ErrNotFound) {
		o.t.Fatal(err)
	}
	return rec.Version
}

// texts joins what posts say.
func texts(posts []bot.Post) string {
	var out []string
	for _, p := range posts {
		out = append(out, p.Text)
	}
	return strings.Join(out, "\n")
}

// a1 is a form for a door, filled in rightly.
func a1() map[string]string {
	return map[string]string{"door": "A-1", "width": "1050", "height": "2350 mm", "thickness": "44", "setback": "65", "opening": "1068",
		"opening_height": "2372", "mass": "88 kg", "mass_by": "weighed", "swing": "both", "floor": "screed", "heated": "no", "status": "none",
		"sheet": "orchard", "crew": "ana", "foreman": "mo"}
}

// Each complaint stands beside its field and names what was given, and then
