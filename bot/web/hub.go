package web

import (
	"fmt"
	"strings"
	"sync"
)

// event is what open pages are told: a part of the page that is new, or that
// they are to read themselves again. It is written once for all of them.
type event struct {
	n    int64 // the number of the entry it shows; 0 if it shows none
	name string
	data string
	wire []byte
}

// write puts an event into the form in which it is sent (HTML Living Standard,
// server-sent events).
func (e *event) write() {
	var b strings.Builder
	if e.n > 0 {
		fmt.Fprintf(&b, "id: %d\n", e.n)
	}
	b.WriteString("event: " + e.name + "\ndata: ")
	b.WriteString(strings.ReplaceAll(e.data, "\n", "\ndata: "))
	b.WriteString("\n\n")
	e.wire = []byte(b.String())
}

// backlog is how many events a page may be behind. One that is further behind
// is let go: it comes again and reads on from where it was.
const backlog = 128

// listener is an open page.
type listener struct {
	events chan *event // closed when it is let go
	places []string
	gone   bool
}

// hub takes events to the pages that listen. It does nothing while nothing is
// said.
type hub struct {
	mu    sync.Mutex
	at    map[string]map[*listener]struct{}
	count int
}

// listen adds a page that listens at places; false if there are too many.
func (h *hub) listen(most int, places ...string) (*listener, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.count >= most {
		return nil, false
	}
	h.count++
	l := &listener{events: make(chan *event, backlog), places: places}
	if h.at == nil {
		h.at = map[string]map[*listener]struct{}{}
	}
	for _, p := range places {
		if h.at[p] == nil {
			h.at[p] = map[*listener]struct{}{}
		}
		h.at[p][l] = struct{}{}
	}
	return l, true
}

// leave takes a page away.
func (h *hub) leave(l *listener) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.drop(l)
}

func (h *hub) drop(l *listener) {
	if l.gone {
		return
	}
	l.gone = true
	h.count--
	for _, p := range l.places {
		if delete(h.at[p], l); len(h.at[p]) == 0 {
			delete(h.at, p)
		}
	}
	close(l.events)
}

// publish hands an event to all pages that listen at a place.
func (h *hub) publish(place string, e event) {
	e.write()
	h.mu.Lock()
	defer h.mu.Unlock()
	for l := range h.at[place] {
		select {
		case l.events <- &e:
		default:
			h.drop(l)
		}
	}
}

// heard returns the doors whose pages are open, by their keys.
func (h *hub) heard() (doors []string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for place := range h.at {
		if strings.Contains(place, "/") {
			doors = append(doors, place)
		}
	}
	return doors
}

// end lets all pages go.
func (h *hub) end() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, place := range h.at {
		for l := range place {
			h.drop(l)
		}
	}
}
