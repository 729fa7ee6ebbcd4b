package draw

import (
	"strconv"

	"heelpost/bot/say"
)

// StripDoor is a door on a board.
type StripDoor struct {
	ID            string
	Held, Overdue bool
}

// StripStage is a stage of the work with the doors in it: those that are shown,
// and how many there are.
type StripStage struct {
	Name  say.Text
	Doors []StripDoor
	Total int
}

// Strip is a site at a glance: its doors by stage.
type Strip struct {
	Site   string
	Stages []StripStage
}

// Drawing returns the strip as it is drawn.
func (b Strip) Drawing() *Drawing {
	return &Drawing{Name: "site", Alt: b.alt, lay: b.lay}
}

func (b *Strip) alt() say.Text {
	parts := []say.Text{say.F("the doors of %s by stage", b.Site)}
	for _, stage := range b.Stages {
		var all []say.Text
		for _, d := range stage.Doors {
			switch {
			case d.Held && d.Overdue:
				all = append(all, say.F("%s held and overdue", d.ID))
			case d.Held:
				all = append(all, say.F("%s held", d.ID))
			case d.Overdue:
				all = append(all, say.F("%s overdue", d.ID))
			default:
				all = append(all, say.Plain(d.ID))
			}
		}
		if more := stage.Total - len(stage.Doors); more > 0 {
			all = append(all, say.F("and %s more", strconv.Itoa(more)))
		}
		parts = append(parts, say.F("%s: %s", stage.Name, say.List(all...)))
	}
	return say.Join("; ", parts...)
}

func (b *Strip) lay(s *sheet) {
	const left, w, h, gap, across = 128.0, 82.0, 30.0, 6.0, 4
	s.height = 8
	for _, stage := range b.Stages {
		s.title(stage.Name, margin, s.height+14)
		s.write(thin, say.Count(stage.Total, "1 door", "%s doors"), spot{point{margin, s.height + 30}, beginsAt})
		rows := 1
		for i, d := range stage.Doors {
			at := point{left + float64(i%across)*(w+gap), s.height + float64(i/across)*(h+gap)}
			rows = i/across + 1
			b.door(s, d, box{at.x, at.y, at.x + w, at.y + h})
		}
		if more := stage.Total - len(stage.Doors); more > 0 {
			n := len(stage.Doors)
			if n%across == 0 && n > 0 {
				rows++
			}
			s.write(solid, say.F("and %s more", strconv.Itoa(more)), spot{point{left + float64(n%across)*(w+gap), s.height + float64(rows-1)*(h+gap) + 20}, beginsAt})
		}
		s.height += max(float64(rows)*(h+gap), 36) + 4
		s.line(hatch, light, point{margin, s.height}, point{frame - margin, s.height})
		s.height += 8
	}
	y := s.height + 4
	s.height += 40
	b.door(s, StripDoor{ID: "", Held: true}, box{left, y, left + 30, y + 22})
	s.write(solid, say.F("held"), spot{point{left + 36, y + 16}, beginsAt})
	b.door(s, StripDoor{ID: "", Overdue: true}, box{left + 130, y, left + 160, y + 22})
	s.write(solid, say.F("overdue"), spot{point{left + 166, y + 16}, beginsAt})
}

// door draws one door: hatched where it is held, with a heavy frame and a
// corner cut off where something is overdue.
func (b *Strip) door(s *sheet, d StripDoor, in box) {
	corners := []point{{in.x0, in.y0}, {in.x1, in.y0}, {in.x1, in.y1}, {in.x0, in.y1}}
	s.polygon(tint, corners...)
	if d.Held {
		s.hatched(box{in.x0, in.y0, min(in.x0+18, in.x1), in.y1})
	}
	if d.Overdue {
		s.polygon(alarm, point{in.x1 - 14, in.y0}, point{in.x1, in.y0}, point{in.x1, in.y0 + 14})
		s.outline(alarm, 3, corners...)
	} else {
		s.outline(solid, 1.2, corners...)
	}
	if d.ID == "" {
		return
	}
	x := (in.x0 + in.x1) / 2
	if d.Held {
		x += 6
	}
	words, size := fitted(d.ID, in.x1-in.x0-26)
	s.ground = tint
	s.put(solid, words, size, boxOf(words, size, point{x, in.y0 + 20}, middle))
	s.ground = paper
}

// fitted is a text no wider than its room: smaller, and if that is not enough
// cut.
func fitted(text string, room float64) (string, float64) {
	for size := usual; size >= least; size -= 0.5 {
		if width(text, size) <= room {
			return text, size
		}
	}
	letters := []rune(text)
	for len(letters) > 1 && width(string(letters)+"…", least) > room {
		letters = letters[:len(letters)-1]
	}
	return string(letters) + "…", least
}
