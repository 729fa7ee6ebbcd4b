package sim

import (
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/calc"
	"heelpost/jobs"
)

// posted checks a post that goes up.
func (r *rules) posted(p *bot.Post) {
	id, _, _ := strings.Cut(p.ID, "@")
	r.count["once"]++
	r.check(r.w.far.posts[p.ID] == nil, "%s is posted twice", p.ID)
	r.check(p.ID != "", "a post has no id: %s", p.Text)
	if strings.HasPrefix(id, "in:") {
		r.answer(strings.TrimSuffix(id, ":failed"))
	}
	if _, op, ok := strings.Cut(id, ":entry:"); ok {
		r.answer(op)
	}
	if strings.HasSuffix(id, ":failed") && !strings.HasPrefix(id, "in:") {
		r.answer(id)
		r.count["given up"]++
	}
	if p.Kind == bot.KindReminder {
		r.addressed(p)
		if d := r.doors[p.Door]; d != nil && strings.HasPrefix(id, p.Door+":") && !strings.HasSuffix(id, ":failed") {
			due, ok := jobs.DueOf(p.ID)
			r.check(ok, "%s has no time", p.ID)
			r.reminded(d, strings.TrimPrefix(id, p.Door+":"), due.Time(), p)
			if !urgent(strings.TrimPrefix(id, p.Door+":")) {
				r.onlyOne(d.led.pl, p)
			}
		}
		r.several(p)
	}
	r.drawn(p)
}

// onlyOne checks that nobody gets two posts of what waited for a day's work to
// begin, as long as nothing goes wrong then.
func (r *rules) onlyOne(pl *place, p *bot.Post) {
	due, _ := jobs.DueOf(p.ID)
	if !pl.begins(due.Time()) || strings.Contains(p.ID, ":tell:") {
		return
	}
	for _, who := range strings.Fields(p.To) {
		key := fmt.Sprint(pl.id, who, due)
		r.count["one a morning"]++
		r.check(r.rounds[key] == "" || r.w.now().Sub(r.w.fault) < time.Minute, "%s gets %s and %s in one morning", who, r.rounds[key], p.ID)
		r.rounds[key] = p.ID
	}
}

// several checks a post of several reminders: each by itself, with a line for
// its door if it is among the first.
func (r *rules) several(p *bot.Post) {
	if len(p.Says) == 0 {
		return
	}
	r.count["together"]++
	r.onlyOne(r.placeOf(p.Site+"/"), p)
	due, _ := jobs.DueOf(p.ID)
	for _, full := range p.Says {
		key, id, _ := strings.Cut(full, ":")
		d := r.doors[key]
		if d == nil {
			r.broken("%s tells of %s, which there is not", p.ID, key)
			continue
		}
		r.check(strings.Contains(p.Text, "\n"+d.led.spec.ID+": ") || strings.Contains(p.Text, ": reminders"), "%s does not name %s:\n%s", p.ID, d.led.spec.ID, p.Text)
		r.reminded(d, id, due.Time(), p)
	}
}

// addressed checks that a reminder is for people who are there.
func (r *rules) addressed(p *bot.Post) {
	key := p.Door
	if len(p.Says) > 0 {
		key = p.Site + "/"
	}
	pl := r.placeOf(key)
	if pl == nil {
		return
	}
	r.count["addressed"]++
	r.check(p.To != "", "%s is for nobody", p.ID)
	for _, who := range strings.Fields(p.To) {
		r.check(pl.there(who), "%s is for %s, who is not there", p.ID, who)
		if pl.standsIn(who, r.w.now()) {
			r.count["stood in"]++
		}
		r.check(pl.stands(who, r.w.now()) == who, "%s is for %s, who is away", p.ID, who)
	}
}

// What Slack takes, from its documentation of block elements (a button's text
// 75 characters and its value 2,000, 25 elements in one block of actions), and
// of views (title and submit 24, an option's text 75, 100 blocks).
const (
	buttonText, buttonValue, inActions = 75, 2000, 25
	viewTitle, optionText, viewBlocks  = 24, 75, 100
)

// drawn checks what any post must be.
func (r *rules) drawn(p *bot.Post) {
	r.check(strings.TrimSpace(p.Text) != "", "%s says nothing", p.ID)
	r.check(utf8.ValidString(p.Text) && !strings.Contains(p.Text, "%!"), "%s is badly put: %s", p.ID, p.Text)
	r.buttons(p.Buttons)
	if p.Answer != nil {
		r.gaps(p.Answer)
	} else if d := r.doors[p.Door]; d != nil {
		r.figures(d, p)
	}
}

func (r *rules) buttons(all []bot.Button) {
	r.check(len(all) <= inActions, "%d buttons", len(all))
	for _, b := range all {
		r.count["buttons"]++
		r.check(b.Label != "" && utf8.RuneCountInString(b.Label) <= buttonText && len(b.Say) <= buttonValue && (b.Say == "") != (b.Form == ""), "button %q says %q, form %q", b.Label, b.Say, b.Form)
	}
}

// formed checks a form.
func (r *rules) formed(f *bot.Form) {
	r.count["forms"]++
	r.check(f.Title != "" && utf8.RuneCountInString(f.Title) <= viewTitle && utf8.RuneCountInString(f.Submit) <= viewTitle, "form %s: title %q, submit %q", f.ID, f.Title, f.Submit)
	r.check(len(f.Fields) > 0 && len(f.Fields) < viewBlocks, "form %s has %d fields", f.ID, len(f.Fields))
	for _, field := range f.Fields {
		for _, o := range field.Options {
			r.check(o.Value != "" && o.Label != "" && utf8.RuneCountInString(o.Label) <= optionText, "form %s: option %q", f.ID, o)
		}
	}
}

// homed checks a home.
func (r *rules) homed(h *bot.Home) {
	r.count["homes"]++
	blocks := 2
	for _, s := range h.Sections {
		blocks++
		for _, line := range s.Lines {
			blocks += 1 + min(1, len(line.Buttons))
			r.buttons(line.Buttons)
		}
	}
	r.check(blocks <= viewBlocks, "a home of %d blocks", blocks)
}

// faced checks a door's top post.
func (r *rules) faced(p *bot.Post) {
	r.drawn(p)
	d := r.doors[p.Door]
	r.check(d != nil, "a face of %s, which there is not", p.Door)
}

// gaps holds the answer to a question after the gap against calc.
func (r *rules) gaps(a *ask.Answer) {
	if a.Verb != "gap" || !a.OK() {
		return
	}
	turn := calc.Turn{Angle: calc.RightAngle}
	step, clearance, plain := calc.Millimetre, 2*calc.Millimetre, true
	for _, in := range a.Inputs {
		switch in.Name {
		case "thickness":
			turn.Thickness = in.Length
		case "setback":
			turn.Setback = in.Length
		case "width":
			turn.Width = in.Length
		case "step":
			step = in.Length
		case "clearance":
			clearance = in.Length
		case "swing":
			plain = in.Word == "both"
		case "edge", "offset", "angle":
			plain = plain && in.From == ask.Assumed
		}
	}
	want, err := calc.Gap(turn, clearance, step)
	for _, res := range a.Results {
		if res.Name == "heel_gap" && plain {
			r.count["gaps"]++
			r.check(err == nil && res.Length.SetOut == want.HeelGap.SetOut, "%q is answered by a heel gap of %s, not %s (%v)", a.Asked, res.Length.SetOut, want.HeelGap.SetOut, err)
		}
	}
}

// figureText finds the figures that a door's texts say.
var figureText = regexp.MustCompile(`(heel gap|leading gap|plate centre far|plate centre) (\d+(?:\.\d+)?) mm`)

// keptAnswer finds what was put on record: it is the answer to a question, which
// says itself what the door has.
var keptAnswer = regexp.MustCompile(`(?m)^.*\bkept: .*$`)

// figure notes the figures that a door's card has now.
func (r *rules) figure(d *watched) {
	for name, v := range d.led.figures() {
		d.told[fmt.Sprintf("%s %s", name, v)] = true
	}
}

// figures checks that what is said of a door is what calc gives for it: of the
// state of now in its face and its card, or of one that it had in the word on
// a change.
func (r *rules) figures(d *watched, p *bot.Post) {
	now := d.led.figures()
	for _, m := range figureText.FindAllStringSubmatch(keptAnswer.ReplaceAllString(p.Text, ""), -1) {
		r.count["figures"]++
		v, ok := now[m[1]]
		current := ok && v.String() == m[2]+" mm"
		history := p.Kind != bot.KindFace && p.Kind != bot.KindAnswer && d.told[m[1]+" "+m[2]+" mm"]
		r.check(current || history, "%s says %s, calc gives %v", p.ID, m[0], v)
	}
}

// figures reckons the gaps and the plate's centre of a door: the room is
// shared by both gaps, to the whole millimetre, unless the plate is drilled.
func (l *ledger) figures() map[string]calc.Length {
	s := &l.spec
	room := s.OpeningWidth
	for _, lean := range []*calc.Length{s.LeanHeel, s.LeanLead} {
		if lean != nil && *lean > 0 {
			room -= *lean
		}
	}
	var lean calc.Length
	if s.LeanHeel != nil {
		lean = max(0, *s.LeanHeel)
	}
	heel := ((room - s.Width) / 2).Down(calc.Millimetre)
	centre := l.fixed["plate_centre"].Length()
	if l.frozen["plate_centre"] {
		heel = centre - s.Setback - lean
	}
	plate, err := calc.Plate(calc.PlateInput{Setback: s.Setback, Gap: heel, JambLean: lean, Opening: s.OpeningWidth, Step: calc.Millimetre / 2})
	if err != nil {
		return nil
	}
	return map[string]calc.Length{"heel gap": heel, "leading gap": room - s.Width - heel, "plate centre": plate.Centre.SetOut, "plate centre far": plate.Far.SetOut}
}
