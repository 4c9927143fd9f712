package page

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"time"
)

// hold is the place that a device is about to read. It is known in memory only, and
// forbids nothing: Next of the other devices goes past it.
type hold struct {
	survey string
	Label  string
	Lamp   string
	at     time.Time // when the device said so last
}

// holdFor is how long a device is believed to be at its place without a word.
const holdFor = 60 * time.Second

func (h hold) lives(now time.Time) bool { return h.Label != "" && now.Sub(h.at) < holdFor }

// held is a place that another device holds.
type held struct {
	Label string `json:"label"`
	Lamp  string `json:"lamp"`
	By    string `json:"by"`
}

// hold notes where a device is, and is what the others hold of that survey.
func (d *devices) hold(id string, h hold) []held {
	d.mu.Lock()
	if x := d.known[id]; x != nil {
		if h.at = x.hold.at; h != x.hold {
			d.changed.ring()
		}
		h.at = d.now()
		x.hold = h
	}
	d.mu.Unlock()
	return d.held(h.survey, id)
}

// held are the places of a survey that other devices hold, in the order of the labels.
func (d *devices) held(survey, id string) []held {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := []held{}
	for other, x := range d.known {
		if other != id && x.hold.survey == survey && x.hold.lives(d.now()) {
			out = append(out, held{x.hold.Label, x.hold.Lamp, x.Name})
		}
	}
	slices.SortFunc(out, func(a, b held) int { return strings.Compare(a.Label+a.Lamp+a.By, b.Label+b.Lamp+b.By) })
	return out
}

// holds takes a device's word of where it is; an empty label lets go.
func (s *server) holds(l *live, w http.ResponseWriter, r *http.Request) error {
	var call struct{ Label, Lamp string }
	if err := body(w, r, &call); err != nil {
		return err
	}
	l.mu.Lock()
	known := l.editor != nil && (call.Label == "" || l.editor.knows(call.Label))
	l.mu.Unlock()
	if !known {
		return problem{404, "no_place", "There is no such place to be read in this survey."}
	}
	return answer(w, 200, map[string]any{"held": s.devices.hold(s.devices.of(r), hold{survey: l.name, Label: call.Label, Lamp: clip(call.Lamp)})})
}

// heldEvent is the event that says what others hold.
func heldEvent(h []held) string {
	content, _ := json.Marshal(h) // of plain fields
	return "event: held\ndata: " + string(content) + "\n\n"
}
