package web

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// message is what somebody does, under an id that its page gave it: what a
// browser sends twice is done once.
func (v *visit) message(kind, more string) bot.Message {
	sum := sha256.Sum256([]byte(v.who + "\x00" + v.q.FormValue("nonce") + "\x00" + more))
	return bot.Message{ID: kind + ":" + hex.EncodeToString(sum[:12]), At: v.Now(), Person: v.who, Channel: v.channel, Thread: v.id}
}

// back is the page that shows what came of it.
func (v *visit) back() string {
	if v.id != "" {
		return "door?" + url.Values{"door": {v.id}}.Encode()
	}
	return "log"
}

// leads sends the browser on; a page with a script is told where to.
func (v *visit) leads(to string) error {
	if v.q.Header.Get("X-Script") == "" {
		http.Redirect(v.w, v.q, to+"#end", http.StatusSeeOther)
		return nil
	}
	v.w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, err := v.w.Write([]byte(to))
	return err
}

// say takes what somebody wrote. It is kept before it is answered: if the
// process dies over it, the next one answers.
func (v *visit) say() error {
	m := v.message("say", v.id)
	m.Text = strings.TrimSpace(strings.ReplaceAll(v.q.FormValue("text"), "\r\n", "\n"))
	m.Overheard = overheard(m.Text)
	if m.Text == "" {
		return v.leads(v.back())
	}
	return v.hear(m)
}

func (v *visit) hear(m bot.Message) error {
	if err := v.Say(v.ctx, m); err != nil {
		return err
	}
	return v.leads(v.back())
}

// Say has somebody say something: it stands in the log, and is kept until it
// is answered.
func (r *Room) Say(ctx context.Context, m bot.Message) error {
	if err := r.tells(ctx, &m, &line{Text: bot.Printable(m.Text)}); err != nil {
		return err
	}
	if _, err := r.Desk.Hear(ctx, m.ID, m); err != nil {
		return err
	}
	_, err := r.Settle(ctx)
	return err
}

// tells puts down what somebody did.
func (r *Room) tells(ctx context.Context, m *bot.Message, l *line) error {
	l.At, l.Who, l.Door = m.At, m.Person, m.Thread
	if s := r.site(m.Channel); s != nil {
		l.Site = s.ID
	}
	_, err := r.tell(ctx, r.place(&bot.Post{Channel: m.Channel, Thread: m.Thread}), m.ID, l)
	return err
}

// press carries out a press on a button.
func (v *visit) press() error {
	pressed, err := url.ParseQuery(v.q.FormValue("press"))
	if err != nil {
		v.refuse(v.w, http.StatusBadRequest, say.F("that is no button of this room"))
		return nil
	}
	v.id = pressed.Get("door")
	if id := pressed.Get("form"); pressed.Get("say") == "" {
		return v.leads("form?" + url.Values{"door": {v.id}, "id": {id}}.Encode())
	}
	m := v.message("press", v.q.FormValue("press"))
	m.Text = pressed.Get("say")
	if slices.Contains(starters, m.Text) && v.id == "" {
		return v.hear(m)
	}
	posts, err := v.Bot.Press(v.ctx, m)
	if err != nil {
		return err
	}
	return v.did(&m, pressed.Get("label"), posts)
}

// did puts down what was pressed or filled in, and what the bot says to it.
func (v *visit) did(m *bot.Message, label string, posts []bot.Post) error {
	if err := v.tells(v.ctx, m, &line{Act: bot.Printable(label)}); err != nil {
		return err
	}
	for i, p := range posts {
		p.ID = m.ID + "/" + strconv.Itoa(i+1)
		if _, err := v.Post(v.ctx, p); err != nil {
			return err
		}
	}
	if _, err := v.Settle(v.ctx); err != nil {
		return err
	}
	return v.leads(v.back())
}

// shownForm is a form as its template takes it.
type shownForm struct {
	bot.Form
	Fields []shownField
	Wrong  string // with the whole of it
	Back   string
}

type shownField struct {
	bot.Field
	Kind    string
	Options []shownOption
	Wrong   string
}

type shownOption struct {
	bot.Option
	On bool
}

// kinds are what a template calls the kinds of fields.
var kinds = map[bot.FieldKind]string{bot.TextField: "text", bot.LongField: "long", bot.NumberField: "number", bot.ChoiceField: "choice",
	bot.ChoicesField: "choices", bot.BoxField: "choices", bot.PersonField: "choice", bot.PeopleField: "choices", bot.DateField: "date", bot.TimeField: "time"}

func (v *visit) form() error { return v.showForm(http.StatusOK, nil, nil) }

// showForm shows a form as it stands now, or as it was filled in with what is
// wrong with that.
func (v *visit) showForm(status int, values, wrong map[string]string) error {
	m := v.message("form", "")
	f, err := v.Bot.Form(v.ctx, m, v.q.FormValue("id"))
	if text, no := bot.Refused(v.Language, err); no {
		return v.refused(text)
	}
	if err != nil {
		return err
	}
	p, err := v.base("form", v.back())
	if err != nil {
		return err
	}
	p.Title = f.Title + " · " + p.Title
	p.Form = &shownForm{Form: f, Wrong: wrong[""], Back: v.back()}
	p.Form.ID = v.q.FormValue("id")
	for _, field := range f.Fields {
		if values != nil {
			field.Value = values[field.Name]
		}
		p.Form.Fields = append(p.Form.Fields, v.field(field, wrong[field.Name]))
	}
	return v.show(status, p)
}

// refused says why a form does not open.
func (v *visit) refused(text string) error {
	p, err := v.base("form", v.back())
	if err != nil {
		return err
	}
	if v.id != "" {
		p.Title = v.id + " · " + p.Title
	}
	p.Text, p.Form = text, &shownForm{Back: v.back()}
	return v.show(http.StatusForbidden, p)
}

// field is a field to be filled in.
func (v *visit) field(f bot.Field, wrong string) shownField {
	s := shownField{Field: f, Kind: kinds[f.Kind], Wrong: wrong}
	options := f.Options
	if f.Kind == bot.PersonField || f.Kind == bot.PeopleField {
		options = nil
		for _, p := range v.at.People {
			options = append(options, bot.Option{Value: p.ID, Label: p.Name})
		}
	}
	values := strings.Fields(f.Value)
	for _, o := range options {
		on := o.Value == f.Value || s.Kind == "choices" && slices.Contains(values, o.Value)
		s.Options = append(s.Options, shownOption{o, on})
	}
	return s
}

// fill takes what was filled into a form. With a complaint the form comes
// back as it was filled in.
func (v *visit) fill() error {
	m := v.message("form", v.id+v.q.FormValue("id"))
	f, err := v.Bot.Form(v.ctx, m, v.q.FormValue("id"))
	if text, no := bot.Refused(v.Language, err); no {
		return v.refused(text)
	}
	if err != nil {
		return err
	}
	values := map[string]string{}
	for _, field := range f.Fields {
		values[field.Name] = strings.TrimSpace(strings.Join(v.q.PostForm["f."+field.Name], " "))
	}
	m.Thread = cmp.Or(f.Door, m.Thread)
	wrong, posts, err := v.Bot.Submit(v.ctx, m, f.ID, values)
	if err != nil {
		return err
	}
	if len(wrong) > 0 {
		return v.showForm(http.StatusUnprocessableEntity, values, wrong)
	}
	v.id = cmp.Or(f.Door, v.id, values["door"])
	m.Thread = v.id
	return v.did(&m, f.Title, posts)
}

// farthest is how far the clock is moved at once.
const farthest = 32 * 24 * time.Hour

// move moves the clock.
func (v *visit) move() error {
	now := v.Now().In(v.at.Zone)
	end := now.Add(time.Hour)
	switch v.q.FormValue("to") {
	case "due":
		next, ok, err := v.Due(v.ctx)
		if err != nil {
			return err
		}
		if end = now; ok {
			end = next
		}
	case "morning":
		end = jobs.DateOf(now).Add(1).At(jobs.Clock(7*60), v.at.Zone)
	}
	if !v.Moves || end.Sub(now) > farthest {
		v.refuse(v.w, http.StatusForbidden, say.F("the clock can't be moved there"))
		return nil
	}
	if err := v.Move(v.ctx, end); err != nil {
		return err
	}
	return v.leads(v.back())
}

// events tells an open page what is new, from where it was on.
func (v *visit) events() error {
	after, err := strconv.ParseInt(cmp.Or(v.q.Header.Get("Last-Event-ID"), v.q.FormValue("after"), "0"), 10, 64)
	if err != nil {
		v.refuse(v.w, http.StatusBadRequest, say.F("that is no number of an entry"))
		return nil
	}
	logs, now, err := v.places(v.q.FormValue("page"))
	if err != nil {
		return err
	}
	l, ok := v.hub.listen(mostPages, append(now, logs...)...)
	if !ok {
		v.refuse(v.w, http.StatusServiceUnavailable, say.F("%s pages are open, and that is as many as this room takes", mostPages))
		return nil
	}
	defer v.hub.leave(l)
	v.w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(v.w)
	if err := out.SetReadDeadline(time.Time{}); err != nil {
		return err
	}
	if err := v.missed(out, logs, max(after, 0)); err != nil {
		return err
	}
	for {
		select {
		case <-v.ctx.Done():
			return nil
		case e, ok := <-l.events:
			if !ok || v.write(out, e.wire) != nil {
				return nil // it comes again by itself
			}
		}
	}
}

// missed tells a page what was said while it was away, and what stands now.
// What is said meanwhile it may be told twice: it stands there once.
func (v *visit) missed(out *http.ResponseController, logs []string, after int64) error {
	var all []jobs.Entry
	for _, place := range logs {
		for from := after; ; {
			es, err := v.Store.Told(v.ctx, place, from, newest)
			if err != nil {
				return err
			}
			all = append(all, es...)
			if len(es) < newest {
				break
			}
			from = es[len(es)-1].Version
		}
	}
	slices.SortFunc(all, func(a, b jobs.Entry) int { return int(a.Version - b.Version) })
	var wire []byte
	add := func(e event) { e.write(); wire = append(wire, e.wire...) }
	wire = append(wire, "retry: 1000\n\n"...)
	for i := range all {
		add(event{n: all[i].Version, name: "part", data: v.drawn(&all[i])})
	}
	add(event{name: "part", data: v.views.part("clock", v.clock(v.at)) + v.views.part("moved", v.onWay(v.at))})
	if v.q.Header.Get("Last-Event-ID") != "" || v.q.FormValue("again") != "" {
		if err := v.stands(add); err != nil {
			return err
		}
	}
	return v.write(out, wire)
}

// stands tells a page that comes again what is drawn from the state of now.
func (v *visit) stands(add func(event)) error {
	tiles, err := v.tiles(v.ctx, v.at)
	if err != nil {
		return err
	}
	for _, t := range tiles {
		add(event{name: "part", data: v.views.part("tile", t)})
	}
	if v.id != "" {
		f, err := v.Bot.Face(v.ctx, jobs.DoorKey(v.at.ID, v.id))
		if err != nil {
			return err
		}
		add(event{name: "part", data: v.views.part("face", v.face(&f))})
	}
	if kind := v.q.FormValue("page"); kind == "home" || kind == "board" {
		add(event{name: "again"})
	}
	return nil
}

// write sends part of a stream that has no end: its deadline is for this part.
func (v *visit) write(out *http.ResponseController, data []byte) error {
	if err := out.SetWriteDeadline(time.Now().Add(10 * time.Second)); err != nil {
		return err
	}
	if _, err := v.w.Write(data); err != nil {
		return err
	}
	return out.Flush()
}

// Serve serves the room until ctx ends.
func (r *Room) Serve(ctx context.Context, s *http.Server, serve func() error) error {
	s.Handler, s.ReadHeaderTimeout, s.ReadTimeout, s.MaxHeaderBytes = r.Handler(), 5*time.Second, 10*time.Second, mostHeader
	stopped := make(chan error, 1)
	context.AfterFunc(ctx, func() {
		r.hub.end()
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
		defer cancel()
		stopped <- s.Shutdown(end)
	})
	if err := serve(); err != http.ErrServerClosed {
		return err
	}
	return <-stopped
}
