package web

import (
	"embed"
	"fmt"
	"html"
	"html/template"
	"log/slog"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/jobs"
)

//go:embed page
var files embed.FS

// views draws the pages and their parts.
type views struct {
	room *Room
	all  *template.Template
}

func newViews(r *Room) (views, error) {
	v := views{room: r}
	t, err := template.New("").Funcs(template.FuncMap{
		"w":    v.word,
		"rich": v.rich,
		"list": v.list,
		"join": strings.Join,
	}).ParseFS(files, "page/*.html")
	v.all = t
	return v, err
}

// word returns what a template has a name for.
func (v *views) word(name string) (string, error) {
	w, ok := words[name]
	if !ok {
		return "", fmt.Errorf("there is no word %q", name)
	}
	return v.room.Language.Say(w), nil
}

// part draws a part of a page by its name.
func (v *views) part(name string, data any) string {
	var b strings.Builder
	if err := v.all.ExecuteTemplate(&b, name, data); err != nil {
		v.room.Log.Error("a part of a page could not be drawn", "part", name, "error", err)
	}
	return b.String()
}

// shownLine is a line as its template takes it.
type shownLine struct {
	line
	N       int64
	Name    string
	ToNames string
	Stamp   string // the time, for machines
	When    string
	Head    []part          // of an answer: its result
	Further []part          // what stands before its picture: what else came out
	Drawn   []template.HTML // its picture on light and on dark ground, one of which is shown
	Rows    []part          // and what behind it
	Buttons []shownButton
}

// shownButton is a button with what pressing it sends.
type shownButton struct{ Label, Value string }

// line draws a line of a log.
func (v *views) line(n int64, l *line) string {
	s := shownLine{line: *l, N: n, Name: v.room.name(l.Who), Buttons: pressable(l.Door, l.Buttons), Stamp: l.At.UTC().Format(time.RFC3339)}
	var to []string
	for id := range strings.FieldsSeq(l.To) {
		if id != l.Who {
			to = append(to, v.room.name(id))
		}
	}
	s.ToNames = strings.Join(to, ", ")
	s.When = v.room.Language.Say(dayTime(l.At, v.room.siteNamed(l.Site)))
	s.Drawn = l.Picture.shown()
	explains := slices.ContainsFunc(l.Parts, func(p part) bool { return ask.Part(p.Part) == ask.Working })
	for _, p := range l.Parts {
		p.Text = whole(p.Text)
		switch {
		case ask.Part(p.Part) == ask.Headline:
			s.Head = append(s.Head, p)
		case ask.Part(p.Part) == ask.Also, explains: // who asks why has seen the picture
			s.Further = append(s.Further, p)
		default:
			s.Rows = append(s.Rows, p)
		}
	}
	return v.part("line", &s)
}

// shown is a picture as templates take it: on light ground and on dark.
func (p *picture) shown() []template.HTML {
	if p == nil {
		return nil
	}
	return []template.HTML{template.HTML(p.Light), template.HTML(p.Dark)}
}

// dayTime is a time of the week, as people say it.
func dayTime(t time.Time, site *jobs.Site) say.Text {
	zone := time.UTC
	if site != nil {
		zone = site.Zone
	}
	t = t.In(zone)
	return say.F("%s %s", bot.Weekdays[t.Weekday()], t.Format("15:04"))
}

// pressable returns the buttons of a post in a door's thread with what each
// sends when it is pressed.
func pressable(door string, buttons []bot.Button) []shownButton {
	all := make([]shownButton, len(buttons))
	for i, b := range buttons {
		all[i] = shownButton{b.Label, url.Values{"door": {door}, "label": {b.Label}, "say": {b.Say}, "form": {b.Form}}.Encode()}
	}
	return all
}

// row is a line of a text, set in or not.
type row struct {
	In   bool
	HTML template.HTML
}

var (
	struck = regexp.MustCompile(`~([^~\n]+)~`)
	named  = regexp.MustCompile(`(^|[\s(])@([A-Za-z0-9][A-Za-z0-9._-]*[A-Za-z0-9]|[A-Za-z0-9])`)
)

// listed is a door that a line of a board begins with.
var listed = regexp.MustCompile(`^([A-Za-z0-9][A-Za-z0-9._-]*):`)

// unitGap is the space between a figure and its unit.
var unitGap = regexp.MustCompile(`(\d) (mm|in|kg|N|h|s|m/s|°C)\b`)

// whole keeps figures and their units on one line.
func whole(text string) string { return unitGap.ReplaceAllString(text, "$1\u00a0$2") }

// rich turns the marks of a text into what they stand for: the boxes of a
// checklist, what no longer counts, and people.
func (v *views) rich(text string) []row { return v.rows(text, false) }

// list does so with a board: its doors lead to their pages.
func (v *views) list(text string) []row { return v.rows(text, true) }

func (v *views) rows(text string, doors bool) []row {
	var rows []row
	boxes := strings.NewReplacer("[ ]", v.part("box", false), "[x]", v.part("box", true))
	for l := range strings.SplitSeq(text, "\n") {
		body := strings.TrimLeft(l, " ")
		h := boxes.Replace(html.EscapeString(whole(body)))
		h = struck.ReplaceAllString(h, "<s>$1</s>")
		h = named.ReplaceAllString(h, "$1<b>@$2</b>")
		if doors && body != l {
			h = listed.ReplaceAllString(h, `<a href="door?door=$1">$1</a>:`)
		}
		rows = append(rows, row{body != l, template.HTML(h)})
	}
	return rows
}

// way is where something was said at a site while the clock moved: at its
// doors, in its log.
type way struct {
	Doors []string
	Log   bool
	More  string // how many doors there are beside
}

// ways are those of the sites, by their ids.
type ways map[string]*way

// note notes where something is said while the clock moves.
func (r *Room) note(l *line) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.way == nil {
		return
	}
	w := r.way[l.Site]
	if w == nil {
		w = new(way)
		r.way[l.Site] = w
	}
	switch {
	case l.Door == "":
		w.Log = true
	case !slices.Contains(w.Doors, l.Door):
		w.Doors = append(w.Doors, l.Door)
	}
}

// onWay returns where something was said at a site when the clock moved last:
// nil if it did not move, the last of many doors.
func (r *Room) onWay(site *jobs.Site) *way {
	const most = 6
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.moved == nil {
		return nil
	}
	w := way{}
	if said := r.moved[site.ID]; said != nil {
		w = *said
	}
	if n := len(w.Doors) - most; n > 0 {
		w.Doors, w.More = w.Doors[n:], r.Language.Say(say.F("and %s more", strconv.Itoa(n)))
	}
	return &w
}

// tile is a door among the others.
type tile struct {
	ID, Stage, Marks string
	Current          bool // its page is the one that is open
	Curing           bool
	X, Y             string // where the leading edge is in its drawing
	HX, HY           string // and the heel
	Large            int
}

// tile draws a door in small: its leaf stands the wider open the further its
// job is.
func (r *Room) tile(j *jobs.Job) *tile {
	now := r.Now()
	i := max(0, slices.Index(jobs.Stages, j.Door.Stage))
	angle := math.Pi / 2 * float64(i) / float64(len(jobs.Stages)-1)
	at := func(length float64) (x, y string) {
		return fmt.Sprintf("%.1f", 12+length*math.Cos(angle)), fmt.Sprintf("%.1f", 38-length*math.Sin(angle))
	}
	t := &tile{ID: j.Door.Spec.ID, Stage: r.Language.Say(say.Name(string(j.Door.Stage))), Curing: j.Curing()}
	t.X, t.Y = at(29)
	t.HX, t.HY = at(-5)
	var marks []say.Text
	switch end := j.Door.Cure(now).End; {
	case !t.Curing:
	case end.IsZero() || end.After(now):
		marks = append(marks, say.F("curing"))
	default:
		marks = append(marks, say.F("sample to check"))
	}
	for _, v := range j.Door.Planned() {
		if v.At.Before(now) {
			marks = append(marks, say.F("visit overdue"))
			break
		}
	}
	if n := len(j.Door.OpenSnags()); n > 0 {
		marks = append(marks, say.Count(n, "1 snag", "%s snags"))
	}
	t.Marks = r.Language.Say(say.List(marks...))
	return t
}

// face is a door as it stands now.
type face struct {
	Title   string
	Text    string
	Buttons []shownButton
}

func (r *Room) face(p *bot.Post) *face {
	title, text, _ := strings.Cut(bot.Printable(p.Text), "\n")
	return &face{title, text, pressable(p.Thread, p.Buttons)}
}

// clock is the time in the room: in words, and as a page goes on from it.
type clock struct {
	Text string
	Wall int64 // the time on the wall in ms, as if it were UTC
}

// clock tells the time at a site.
func (r *Room) clock(site *jobs.Site) *clock {
	t := r.Now().In(site.Zone)
	_, offset := t.Zone()
	return &clock{r.Language.Say(say.F("%s %s", bot.Weekdays[t.Weekday()], t.Format(bot.Minute))), t.UnixMilli() + int64(offset)*1000}
}

// name is how somebody is called; the id of who is named at no site.
func (r *Room) name(id string) string {
	for _, s := range r.Desk.Sites() {
		if p, ok := s.Person(id); ok {
			return p.Name
		}
	}
	return bot.Printable(id)
}

// siteNamed returns a site by id, or the first one.
func (r *Room) siteNamed(id string) *jobs.Site {
	sites := r.Desk.Sites()
	for _, s := range sites {
		if s.ID == id {
			return s
		}
	}
	if len(sites) > 0 {
		return sites[0]
	}
	return nil
}

// quiet is a log for who has given none.
var quiet = slog.New(slog.DiscardHandler)
