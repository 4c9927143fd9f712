package page

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// A small model of what the acts do to a table, written from their description and not
// from the code: each entry counts once by its identity, whatever way it comes.

// modelRow is a reading: its level and time, its notes and its status.
type modelRow struct {
	level  float64
	text   string
	at     int64
	notes  []string
	status string
}

type model struct {
	rows map[string][]modelRow // by place
	done map[string]bool       // entries by identity
	undo map[string][2][]modelRow
}

func (r modelRow) again() bool { return slices.Contains(r.notes, "again") }

func (r modelRow) counts() bool { return r.status != "again" && r.status != "out" }

func clock(ms int64) string { return time.UnixMilli(ms).In(zone).Format("15:04:05") }

func said(text string) string {
	if strings.HasSuffix(text, "fc") {
		return text
	}
	return text + " lx"
}

func lux(text string) float64 {
	number, fc := strings.CutSuffix(text, " fc")
	v, _ := strconv.ParseFloat(number, 64)
	if fc {
		v /= 0.3048 * 0.3048
	}
	return v
}

func copied(rows []modelRow) []modelRow {
	out := slices.Clone(rows)
	for i := range out {
		out[i].notes = slices.Clone(out[i].notes)
	}
	return out
}

func (m *model) do(e Entry, device string) {
	if m.done[e.ID] {
		return
	}
	before := copied(m.rows[e.Label])
	m.act(e, device)
	// What did nothing may be sent again until it can.
	m.done[e.ID] = !cmp.Equal(before, m.rows[e.Label], cmp.AllowUnexported(modelRow{}), cmpopts.EquateEmpty())
	m.undo[e.ID] = [2][]modelRow{before, copied(m.rows[e.Label])}
}

func (m *model) act(e Entry, device string) {
	rows := m.rows[e.Label]
	of := slices.IndexFunc(rows, func(r modelRow) bool { return r.at == e.Of })
	seen := slices.IndexFunc(rows, func(r modelRow) bool { return r.at == e.Seen })
	open := func(r modelRow) bool { return r.status == "conflict" && !r.again() }
	switch e.Kind {
	case kindRead:
		if seen >= 0 {
			r := &rows[seen]
			r.notes = append(r.notes, "was "+said(r.text)+" "+clock(r.at))
			r.level, r.text, r.at, r.status = lux(e.Text), e.Text, e.At, ""
			m.settle(e.Label, false)
			return
		}
		r := modelRow{level: lux(e.Text), text: e.Text, at: e.At}
		if slices.ContainsFunc(rows, func(r modelRow) bool { return r.counts() && !r.again() }) {
			r.notes = []string{"also by " + device}
		}
		m.rows[e.Label] = append(rows, r)
		m.settle(e.Label, len(r.notes) > 0)
	case kindAgain:
		m.rows[e.Label] = append(rows, modelRow{level: lux(e.Text), text: e.Text, at: e.At, notes: []string{"again"}})
	case kindMeant, kindRight:
		if of < 0 || rows[of].text != e.Was || !rows[of].counts() || open(rows[of]) || rows[of].text == e.Text && rows[of].status == "right "+e.Text {
			return
		}
		r := &rows[of]
		if e.Kind == kindMeant {
			r.notes = append(r.notes, "read as "+said(r.text))
			r.text, r.level = e.Text, lux(e.Text)
		}
		r.status = "right " + r.text
	case kindReread:
		if of < 0 || !rows[of].counts() || open(rows[of]) && m.open(e.Label) != e.Was {
			return
		}
		for i := range rows {
			if open(rows[i]) {
				rows[i].status = "out"
			}
		}
		rows[of].status = "again"
	case kindKeep, kindBoth:
		if of < 0 || !open(rows[of]) || m.open(e.Label) != e.Was {
			return
		}
		first := true
		for i := range rows {
			if !open(rows[i]) {
				continue
			}
			switch {
			case e.Kind == kindBoth && !first:
				rows[i].status = ""
				rows[i].notes = append(rows[i].notes, "again")
			case e.Kind == kindBoth || i == of:
				rows[i].status = ""
			default:
				rows[i].status = "out"
			}
			first = false
		}
	case kindUndo:
		was := m.undo[e.Was]
		if cmp.Equal(rows, was[1], cmp.AllowUnexported(modelRow{}), cmpopts.EquateEmpty()) {
			m.rows[e.Label] = copied(was[0])
		}
	}
}

// open are the times of the readings in conflict at a place.
func (m *model) open(label string) string {
	var times []int64
	for _, r := range m.rows[label] {
		if r.status == "conflict" && !r.again() {
			times = append(times, r.at)
		}
	}
	slices.Sort(times)
	return fmt.Sprint(times)
}

// settle makes the first readings of a place repeats where they are within twice the
// repeatability of 2 %, else a conflict, wherever two devices read it unseen.
func (m *model) settle(label string, unseen bool) {
	rows := m.rows[label]
	low, high, n := math.Inf(1), 0.0, 0
	for _, r := range rows {
		if r.counts() && !r.again() {
			low, high, n = min(low, r.level), max(high, r.level), n+1
			unseen = unseen || r.status == "conflict" || slices.ContainsFunc(r.notes, func(note string) bool { return strings.HasPrefix(note, "also by") })
		}
	}
	if !unseen {
		return
	}
	apart := n > 1 && math.Log2(high/low) > 2*0.02/math.Ln2
	for i := range rows {
		if r := &rows[i]; r.counts() && !r.again() {
			switch {
			case apart:
				r.status = "conflict"
			case r.status == "conflict" || n == 1:
				r.status = ""
			}
		}
	}
}

// table is what the model says, as readings has it of a file.
func (m *model) table() []string {
	out := []string{}
	for label, rows := range m.rows {
		for _, r := range rows {
			line := label + "  " + clock(r.at) + " " + r.text
			for _, part := range []string{strings.Join(r.notes, "; "), r.status} {
				if part != "" {
					line += ", " + part
				}
			}
			out = append(out, line)
		}
	}
	slices.Sort(out)
	return out
}

// walker is a device: what it saw last, what it has not sent, and what it can undo.
type walker struct {
	name  string
	seen  map[string]*stateCell
	queue []Entry
	tries int // of the first entry of the queue
	undo  []Entry
}

// act makes an entry of what the device shows.
func (w *walker) act(random *rand.Rand, n int) (e Entry, ok bool) {
	labels := []string{"A1", "A2"}
	label := labels[random.IntN(len(labels))]
	e = Entry{ID: fmt.Sprint(w.name, n), Label: label, At: at(float64(n)), Kind: kindRead, Text: []string{"700", "705", "710", "96", "912"}[random.IntN(5)]}
	c := w.seen[label]
	for _, waits := range w.queue {
		if waits.Label == label {
			return e, false // one at a time and place, as what comes of it is not known
		}
	}
	if c == nil {
		return e, true
	}
	e.Seen = c.Seen
	all := append([]stateReading{c.stateReading}, c.Repeats...)
	r := all[random.IntN(len(all))]
	answer := func(kind, text string) (Entry, bool) {
		return Entry{ID: e.ID, Label: label, At: e.At, Kind: kind, Of: r.At, Was: r.Text, Text: text}, true
	}
	switch k := random.IntN(8); {
	case k < 2:
		return e, true
	case r.Status == "conflict":
		var times []int64
		for _, r := range all {
			if r.Status == "conflict" {
				times = append(times, r.At)
			}
		}
		e, _ := answer([]string{kindKeep, kindBoth, kindReread}[k%3], "")
		e.Was = fmt.Sprint(times)
		return e, true
	case c.Again:
		return e, true
	case k == 2:
		return answer(kindRight, "")
	case k == 3:
		return answer(kindMeant, "96 fc")
	case k == 4:
		return answer(kindReread, "")
	case k == 5:
		e.Kind, e.Seen = kindAgain, 0
		return e, true
	case len(w.undo) > 0:
		last := w.undo[len(w.undo)-1]
		w.undo = w.undo[:len(w.undo)-1]
		last.At = e.At
		last.ID = e.ID
		return last, !slices.ContainsFunc(w.queue, func(waits Entry) bool { return waits.Label == last.Label })
	}
	return e, false
}

// modelHold is where a device said that it is.
type modelHold struct {
	label string
	at    time.Time
}

// standing is two devices of a program that has just begun.
func standing(now func() time.Time) *devices {
	d, _ := newDevices(Options{}, "1")
	d.now = now
	for _, name := range []string{"phone", "tablet"} {
		d.add(name, name)
	}
	return d
}

// Two devices at two places, whose requests come in any order, some of them twice since
// their answers are lost, while the program starts anew again and again, end in the table
// that the model has. Where each device is the other one hears while its word is less than
// a minute old, and no reading is refused for it.
func TestRandomOrders(t *testing.T) {
	t.Parallel()
	kinds, conflicts, shared := map[string]int{}, 0, 0
	orders, kindLeast := uint64(250), 20
	if os.Getenv("CALIBRATION") != "" {
		orders, kindLeast = 1000, 80
	}
	for seed := range orders {
		random := rand.New(rand.NewPCG(seed, 16))
		b := openText(t, small)
		m := &model{rows: map[string][]modelRow{}, done: map[string]bool{}, undo: map[string][2][]modelRow{}}
		now := noon
		places := standing(func() time.Time { return now })
		at := map[string]modelHold{}
		devices := []*walker{{name: "phone"}, {name: "tablet"}}
		var story []string
		look := func(w *walker) {
			st := &State{Cells: map[string]cells{}, Progress: map[string]counted{}}
			b.describe(st)
			w.seen = st.Cells[""]
		}
		deliver := func(w *walker) {
			e := w.queue[0]
			o, _ := b.apply(e, w.name, noon.Add(24*time.Hour))
			m.do(e, w.name)
			story = append(story, fmt.Sprintf("%s: %s %s %s seen %s of %s: %s", w.name, e.Kind, e.Label, e.Text, clock(e.Seen), clock(e.Of), o.Outcome))
			kinds[e.Kind+" "+o.Outcome]++
			if w.tries++; w.tries < 3 && random.IntN(4) == 0 {
				return // the answer is lost, and the entry is sent again
			}
			if o.Undo != nil {
				w.undo = append(w.undo, Entry{Label: e.Label, Kind: kindUndo, Undo: o.Undo, Was: e.ID})
			}
			w.queue, w.tries = w.queue[1:], 0
		}
		for n := range 40 {
			w, other := devices[random.IntN(2)], "tablet"
			if w.name == other {
				other = "phone"
			}
			now = now.Add(time.Duration(random.IntN(30)) * time.Second)
			label := []string{"A1", "A2", ""}[random.IntN(3)]
			at[w.name] = modelHold{label, now}
			var want []held
			if h := at[other]; h.label != "" && now.Sub(h.at) < time.Minute {
				want = append(want, held{Label: h.label, By: other})
				shared++
			}
			if got := places.hold(w.name, hold{survey: "cloth.csv", Label: label}); !slices.Equal(got, want) {
				t.Fatalf("seed %d: %s hears %v, expected %v", seed, w.name, got, want)
			}
			switch k := random.IntN(6); {
			case k < 3:
				if e, ok := w.act(random, n); ok {
					w.queue = append(w.queue, e)
				}
			case k < 5 && len(w.queue) > 0:
				deliver(w)
			case k == 5:
				look(w)
			}
			if random.IntN(5) == 0 {
				b = openText(t, string(b.text.bytes()))
				places, at = standing(places.now), map[string]modelHold{}
			}
		}
		for _, w := range devices {
			for len(w.queue) > 0 {
				deliver(w)
			}
		}
		got := readings(t, b.text.bytes())
		if strings.Contains(strings.Join(got, " "), "conflict") {
			conflicts++
		}
		if diff := cmp.Diff(m.table(), got); diff != "" {
			t.Fatalf("seed %d: -model +file\n%s\n%s", seed, diff, strings.Join(story, "\n"))
		}
	}
	for _, kind := range []string{kindRead, kindAgain, kindMeant, kindRight, kindReread, kindKeep, kindBoth, kindUndo} {
		if kinds[kind+" "+stored] < kindLeast {
			t.Errorf("%s was done %d times only: %v", kind, kinds[kind+" "+stored], kinds)
		}
	}
	if conflicts < 50 || shared < 1000 {
		t.Errorf("%d orders end in a conflict, %d times the other is somewhere", conflicts, shared)
	}
	t.Logf("%v, %d end in a conflict", kinds, conflicts)
}

// Rows that need a ladder come last, the lower ones first: among the nine and among the rest.
func TestLadderRowsComeLast(t *testing.T) {
	var text strings.Builder
	text.WriteString("# width: 4\n# height: 6\n# grid: 3x6\nlabel,E (lx)\n") // rows at 0.5 to 5.5 m
	for _, row := range "ABCDEF" {
		for column := range 3 {
			fmt.Fprintf(&text, "%c%d,\n", row, column+1)
		}
	}
	b := openText(t, text.String())
	var walk []string
	for _, p := range b.places {
		walk = append(walk, p.label)
	}
	if got := strings.Join(walk, " "); got != "F1 F2 F3 C3 C2 C1 A1 A2 A3 D3 D2 D1 E1 E2 E3 B3 B2 B1" {
		t.Errorf("the walk is %s", got)
	}
}

// A list of positions is shown in the rows and columns that it has.
func TestListOfPositionsIsAGrid(t *testing.T) {
	b := openText(t, "label,x (m),y (m),E (lx)\nleft,0,1,700\nmiddle,1,1,\nright,2,1,\nlow left,0,0,\nlow middle,1,0,\nlow right,2,0,\n")
	for label, want := range map[string][2]int{"left": {1, 1}, "right": {3, 1}, "low middle": {2, 2}} {
		if p := b.places[b.byKey[label]]; [2]int{p.column, p.row} != want {
			t.Errorf("%s is in column %d, row %d, expected %v", label, p.column, p.row, want)
		}
	}
	if b := openText(t, "label,x (m),y (m),E (lx)\na,0,1,700\nb,1.3,0.2,\nc,2,1.7,\nd,0.4,0.6,\n"); b.places[0].column != 0 {
		t.Error("scattered places have columns")
	}
}
