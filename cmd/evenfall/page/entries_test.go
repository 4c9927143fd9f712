package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"evenfall/photometry/survey"
)

var (
	zone = time.FixedZone("set", 3600)
	noon = time.Date(2026, 3, 4, 12, 0, 0, 0, zone)
)

const small = `# surface: green cloth
# for: screen
# width: 3 m
# height: 1.5 m
# grid: 3x2
# reference: B2
label,x (m),y (m),time,E (lx),note
A1,0.500,1.125,,,
A2,1.500,1.125,,,
A3,2.500,1.125,,,
B3,2.500,0.375,,,
B2,1.500,0.375,,,
B1,0.500,0.375,,,
`

func openText(t interface{ Fatal(...any) }, content string) *editor {
	b, err := newEditor("cloth.csv", []byte(content), noon, zone)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// at is a moment in minutes from noon.
func at(minutes float64) int64 { return noon.UnixMilli() + int64(minutes*60e3) }

func taken(label string, minutes float64, text string) Entry {
	return Entry{Label: label, At: at(minutes), Text: text, Kind: kindRead}
}

// change is a reading in place of the one of another moment.
func change(label string, minutes float64, text string, seen float64) Entry {
	e := taken(label, minutes, text)
	e.Seen = at(seen)
	return e
}

func again(label string, minutes float64, text string) Entry {
	return Entry{Label: label, At: at(minutes), Text: text, Kind: kindAgain}
}

// reply answers what was read at a moment.
func reply(kind, label string, of float64, was, text string) Entry {
	return Entry{Label: label, At: at(30), Kind: kind, Of: at(of), Was: was, Text: text}
}

// readings are what a file says, sorted, each as label lamp time level color, note, status.
func readings(t interface{ Fatal(...any) }, content []byte) []string {
	b, err := newEditor("cloth.csv", content, noon, zone)
	if err != nil {
		t.Fatal(err, string(content))
	}
	out := []string{}
	for _, r := range b.rows {
		if b.get(r, "level") == "" {
			continue
		}
		line := fmt.Sprintf("%s %s %s %s", r.Label, r.Lamp, time.UnixMilli(r.UnixMilli).In(zone).Format("15:04:05"), b.get(r, "level"))
		for _, more := range []string{"CCT", "Duv", "CC"} {
			if text := b.get(r, more); text != "" {
				line += " " + text
			}
		}
		for _, more := range []string{"note", "status"} {
			if text := b.get(r, more); text != "" {
				line += ", " + text
			}
		}
		out = append(out, line)
	}
	slices.Sort(out)
	return out
}

func TestEntries(t *testing.T) {
	bothTimes := fmt.Sprint([]int64{at(0), at(1)})
	for _, c := range []struct {
		name     string
		entries  []Entry
		outcomes string
		want     []string
	}{
		{"a reading", []Entry{taken("a2", 0, " 742 ")}, "stored", []string{"A2  12:00:00 742"}},
		{"the same again", []Entry{taken("A2", 0, "742"), taken("A2", 0, "742")}, "stored same", []string{"A2  12:00:00 742"}},
		{"a change", []Entry{taken("A2", 0, "742"), change("A2", 1, "724", 0)}, "stored stored", []string{"A2  12:01:00 724, was 742 lx 12:00:00"}},
		{"the first sent again after the change", []Entry{taken("A2", 0, "742"), change("A2", 1, "724", 0), taken("A2", 0, "742")}, "stored stored same", []string{"A2  12:01:00 724, was 742 lx 12:00:00"}},
		{"a change back within a second", []Entry{taken("A2", 0, "742"), change("A2", 0.004, "724", 0), change("A2", 0.008, "742", 0.004)}, "stored stored stored", []string{"A2  12:00:00 742, was 742 lx 12:00:00; was 724 lx 12:00:00"}},
		{"two changes", []Entry{taken("A2", 0, "742"), change("A2", 1, "724", 0), change("A2", 2, "725", 1)}, "stored stored stored", []string{"A2  12:02:00 725, was 742 lx 12:00:00; was 724 lx 12:01:00"}},
		{"again", []Entry{taken("B2", 0, "742"), again("B2", 10, "740"), again("A1", 11, "600")}, "stored stored stored",
			[]string{"A1  12:11:00 600, again", "B2  12:00:00 742", "B2  12:10:00 740, reference again"}},
		{"a change of a reading again", []Entry{taken("B2", 0, "742"), again("B2", 10, "74"), change("B2", 11, "741", 10)}, "stored stored stored",
			[]string{"B2  12:00:00 742", "B2  12:11:00 741, reference again; was 74 lx 12:10:00"}},
		{"what was meant", []Entry{taken("A2", 0, "96"), reply(kindMeant, "A2", 0, "96", "96 fc"), reply(kindMeant, "A2", 0, "96", "96 fc")}, "stored stored same",
			[]string{"A2  12:00:00 96 fc, read as 96 lx, right 96 fc"}},
		{"two say otherwise", []Entry{taken("A2", 0, "96"), reply(kindMeant, "A2", 0, "96", "96 fc"), reply(kindMeant, "A2", 0, "96", "960"), reply(kindRight, "A2", 0, "96", "")}, "stored stored refused refused",
			[]string{"A2  12:00:00 96 fc, read as 96 lx, right 96 fc"}},
		{"a digit", []Entry{taken("A2", 0, "96"), reply(kindMeant, "A2", 0, "96", "960")}, "stored stored", []string{"A2  12:00:00 960, read as 96 lx, right 960"}},
		{"right as read", []Entry{taken("A2", 0, "96"), reply(kindRight, "A2", 0, "96", "")}, "stored stored", []string{"A2  12:00:00 96, right 96"}},
		{"read again", []Entry{taken("A2", 0, "96"), reply(kindReread, "A2", 0, "96", ""), change("A2", 2, "742", 0)}, "stored stored stored", []string{"A2  12:02:00 742, was 96 lx 12:00:00"}},
		{"a change takes the answer back", []Entry{taken("A2", 0, "96"), reply(kindRight, "A2", 0, "96", ""), change("A2", 2, "742", 0)}, "stored stored stored", []string{"A2  12:02:00 742, was 96 lx 12:00:00"}},
		{"two devices agree", []Entry{taken("A2", 0, "742"), taken("A2", 1, "745")}, "stored stored", []string{"A2  12:00:00 742", "A2  12:01:00 745, also by tablet"}},
		{"two devices do not", []Entry{taken("A2", 0, "742"), taken("A2", 1, "912")}, "stored stored", []string{"A2  12:00:00 742, conflict", "A2  12:01:00 912, also by tablet, conflict"}},
		{"whatever their order", []Entry{taken("A2", 1, "912"), taken("A2", 0, "742")}, "stored stored", []string{"A2  12:00:00 742, also by tablet, conflict", "A2  12:01:00 912, conflict"}},
		{"two changes of one reading", []Entry{taken("A2", 0, "742"), change("A2", 1, "700", 0), change("A2", 2, "800", 0)}, "stored stored stored",
			[]string{"A2  12:01:00 700, was 742 lx 12:00:00, conflict", "A2  12:02:00 800, also by tablet, conflict"}},
		{"one counts", []Entry{taken("A2", 0, "742"), taken("A2", 1, "912"), reply(kindKeep, "A2", 1, bothTimes, ""), reply(kindKeep, "A2", 0, bothTimes, "")}, "stored stored stored refused",
			[]string{"A2  12:00:00 742, out", "A2  12:01:00 912, also by tablet"}},
		{"both count", []Entry{taken("A2", 0, "742"), taken("A2", 1, "912"), reply(kindBoth, "A2", 0, bothTimes, "")}, "stored stored stored", []string{"A2  12:00:00 742", "A2  12:01:00 912, also by tablet; again"}},
		{"neither counts", []Entry{taken("A2", 0, "742"), taken("A2", 1, "912"), reply(kindReread, "A2", 0, bothTimes, ""), change("A2", 2, "750", 0)}, "stored stored stored stored",
			[]string{"A2  12:01:00 912, also by tablet, out", "A2  12:02:00 750, was 742 lx 12:00:00"}},
		{"a conflict that a change ends", []Entry{taken("A2", 0, "742"), taken("A2", 1, "912"), change("A2", 2, "740", 1)}, "stored stored stored", []string{"A2  12:00:00 742", "A2  12:02:00 740, also by tablet; was 912 lx 12:01:00"}},
		{"footcandles, thousands, a comma", []Entry{taken("A1", 0, "116 fc"), taken("A2", 0, "1.25k"), taken("A3", 0, "1,25k")}, "stored stored stored",
			[]string{"A1  12:00:00 116 fc", "A2  12:00:00 1.25k", "A3  12:00:00 1.25k"}},
		{"color, kept where only the level changes", []Entry{{Label: "A1", At: at(0), Text: "742", CCT: "5600 K", Duv: "+0.003", Kind: kindRead}, {Label: "A2", At: at(0), Text: "742", CCT: "5,6", Kind: kindRead},
			{Label: "A2", At: at(0), Text: "742", CCT: "5600", CC: "needs 2M", Kind: kindRead}, change("A1", 1, "750", 0), {Label: "A2", At: at(1), Seen: at(0), Text: "760", CCT: "5400", Kind: kindRead}}, "stored refused stored stored stored",
			[]string{"A1  12:01:00 750 5600 0.003, was 742 lx 12:00:00", "A2  12:01:00 760 5400, was 742 lx 12:00:00"}},
		{"a note", []Entry{{Label: "A1", At: at(0), Text: "742", Note: "door  open", Kind: kindRead}, {Label: "A2", At: at(0), Text: "742", Note: "=1+1", Kind: kindRead}}, "stored refused", []string{"A1  12:00:00 742, door open"}},
		{"a lamp alone", []Entry{{Label: "A1", Lamp: "cloth left", At: at(0), Text: "0", Kind: kindRead}, {Label: "A1", Lamp: "All", At: at(0), Text: "742", Kind: kindRead}}, "stored stored",
			[]string{"A1  12:00:00 742", "A1 cloth left 12:00:00 0"}},
		{"refusals", []Entry{taken("Z9", 0, "742"), taken("A1", 0, ""), taken("A1", 0, "0"), taken("A1", 0, "742 m"), taken("A1", 0, "f/8"), taken("A1", 0, "-5"), taken("A1", 11, "742"),
			{Label: "A1", At: 0, Text: "742", Kind: kindRead}, {Label: "A1", At: at(0), Text: "742", Kind: "put"}, {Label: "A1", Lamp: "=1+1", At: at(0), Text: "7", Kind: kindRead}, taken("A1", 0, "1,234")},
			"refused refused refused refused refused refused refused refused refused refused refused", []string{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := openText(t, small)
			now := noon
			if !strings.Contains(c.name, "refusals") {
				now = noon.Add(time.Hour)
			}
			var outcomes []string
			for _, e := range c.entries {
				o, _ := b.apply(e, "tablet", now)
				outcomes = append(outcomes, o.Outcome)
				if o.Outcome == refused && o.Text == "" {
					t.Errorf("%+v is refused without a word", e)
				}
				b = openText(t, string(b.text.bytes())) // as after a restart
			}
			if got := strings.Join(outcomes, " "); got != c.outcomes {
				t.Errorf("outcomes %s, want %s", got, c.outcomes)
			}
			if diff := cmp.Diff(c.want, readings(t, b.text.bytes())); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
		})
	}
}

// Each act is undone to the byte of all cells, and not where somebody changed the place.
func TestUndo(t *testing.T) {
	const file = "# width: 3\n# height: 1\nlabel,time,E (lx),CCT (K),note,gel,status\nA1,10:00,96,5600,by hand,Jo,\nA2,,,,,,\nA3,10:02:00,742,,,,mine\n"
	first := openText(t, file).cells[cellKey{"a1", ""}][0].UnixMilli
	for _, e := range []Entry{taken("A2", 1, "700"), {Label: "A1", At: at(1), Seen: first, Text: "97", CCT: "5500", Kind: kindRead}, again("A1", 1, "98"),
		{Label: "A1", At: at(1), Of: first, Was: "96", Text: "96 fc", Kind: kindMeant}, {Label: "A1", At: at(1), Of: first, Was: "96", Kind: kindRight}, {Label: "A1", At: at(1), Of: first, Kind: kindReread},
		taken("A1", 1, "960"), taken("A3", 1, "742.5")} {
		b := openText(t, file)
		o, _ := b.apply(e, "tablet", noon.Add(time.Hour))
		if o.Outcome != stored || o.Undo == nil {
			t.Fatalf("%+v: %+v", e, o)
		}
		undo := Entry{Label: e.Label, At: at(3), Kind: kindUndo, Undo: o.Undo}
		after := openText(t, string(b.text.bytes()))
		if o, _ := after.apply(undo, "tablet", noon.Add(time.Hour)); o.Outcome != stored {
			t.Fatalf("%s %s: %+v", e.Kind, e.Text, o)
		}
		if got := strings.ReplaceAll(string(after.text.bytes()), ",\n", "\n"); got != strings.ReplaceAll(file, ",\n", "\n") {
			t.Errorf("%s %s undone is\n%s", e.Kind, e.Text, got)
		}
		if o, _ := after.apply(undo, "tablet", noon.Add(time.Hour)); o.Outcome != same {
			t.Errorf("%s %s undone twice: %+v", e.Kind, e.Text, o)
		}
		b.apply(again(e.Label, 2, "700"), "phone", noon.Add(time.Hour))
		was := string(b.text.bytes())
		if o, changed := b.apply(undo, "tablet", noon.Add(time.Hour)); o.Outcome != refused || changed || !strings.Contains(o.Text, "somebody changed "+e.Label+" since") || string(b.text.bytes()) != was {
			t.Errorf("%s %s undone over a change: %+v", e.Kind, e.Text, o)
		}
	}
}

// What a file holds beside the page's own columns stays to the byte.
func TestEntriesTouchNothingElse(t *testing.T) {
	const content = "\xef\xbb\xbf# surface: \"green\" cloth, day 2\r\n# my own remark\r\n" +
		"Raum ;  label;E (lx);time;gel;note\r\n" +
		"A;A1;\"742,5\" ;10:05;\"half; \"\"CTB\"\"\";by the door\r\n" +
		"\r\n" +
		" B ;A2;  ;;  ;\"two\r\nlines\"\r\n" +
		"# between\r\n" +
		"C;A3;800;;;\r\n\r\n"
	const notes = "# width: 3\r\n# height: 1\r\n"
	b := openText(t, strings.Replace(content, "# my", notes+"# my", 1))
	for _, e := range []Entry{taken("A2", 1, "1250.5"), {Label: "A1", At: at(2), Seen: openText(t, strings.Replace(content, "# my", notes+"# my", 1)).rows[0].UnixMilli, Text: "116 fc", Kind: kindRead}, again("A3", 3, "801")} {
		if o, _ := b.apply(e, "tablet", noon.Add(time.Hour)); o.Outcome != stored {
			t.Fatal(o)
		}
	}
	want := "\xef\xbb\xbf# surface: \"green\" cloth, day 2\r\n" + notes + "# my own remark\r\n" +
		"Raum ;  label;E (lx);time;gel;note\r\n" +
		"A;A1;116 fc;12:02:00.000;\"half; \"\"CTB\"\"\";\"by the door; was 742,5 lx 10:05:00\"\r\n" +
		"\r\n" +
		" B ;A2;1250,5;12:01:00.000;  ;\"two\r\nlines\"\r\n" +
		"# between\r\n" +
		"C;A3;800;;;\r\n" +
		";A3;801;12:03:00.000;;again\r\n" +
		"\r\n"
	if diff := cmp.Diff(want, string(b.text.bytes())); diff != "" {
		t.Error(diff)
	}
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: bytes.NewReader(b.text.bytes())}}, survey.ReadOptions{})
	if err != nil || s.ReadingCount != 4 || s.Len() != 3 {
		t.Errorf("read again: %v, %+v", err, s)
	}
}

// A sheet without times or lamps gets the columns at its end, and only the rows
// that were touched grow.
func TestEntriesAddColumns(t *testing.T) {
	b := openText(t, "# width: 3\n# height: 1\nlabel,lux,\nA1,742,\nA2,\nA3")
	for _, e := range []Entry{taken("A3", 1, "750"), {Label: "A1", Lamp: "key, left", At: at(2), Text: "300", Kind: kindRead}} {
		if o, _ := b.apply(e, "tablet", noon.Add(time.Hour)); o.Outcome != stored {
			t.Fatal(o)
		}
	}
	want := "# width: 3\n# height: 1\nlabel,lux,time,lamp\nA1,742,\nA2,\nA3,750,2026-03-04T12:01:00.000+01:00\nA1,300,2026-03-04T12:02:00.000+01:00,\"key, left\""
	if diff := cmp.Diff(want, string(b.text.bytes())); diff != "" {
		t.Error(diff)
	}
}

// FuzzEntry throws anything at an entry: it is refused in words or kept in a file
// that can be read again, with the entry in it.
func FuzzEntry(f *testing.F) {
	for _, text := range []string{`{"label":"A1","at":1772622000000,"text":"742","kind":"read"}`, `{"label":"A1","at":1772622000000,"text":"5.6 7/10","cct":"5600","kind":"read"}`,
		`{"label":"B2","lamp":"a\"b","at":1,"text":"1,25k","duv":"-0.01","cct":"3200","kind":"again"}`, `{"label":"a1","at":9,"of":3,"kind":"reread"}`, `{"at":-1}`, `{"lamp":"\n"}`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var e Entry
		if json.Unmarshal([]byte(text), &e) != nil {
			return
		}
		b := openText(t, small)
		o, changed := b.apply(e, "tablet", noon)
		if changed != (o.Outcome == stored) || o.Outcome != stored && o.Outcome != refused && o.Outcome != same {
			t.Fatalf("%+v, changed %v", o, changed)
		}
		if !changed {
			if o.Text == "" && o.Outcome == refused {
				t.Fatalf("%q is refused without a word", text)
			}
			return
		}
		again := openText(t, string(b.text.bytes()))
		if o, _ := again.apply(e, "tablet", noon); o.Outcome != same {
			t.Fatalf("%q: sent again it is %+v in\n%s", text, o, b.text.bytes())
		}
		if e.Kind == kindRead && e.Lamp == "" {
			if _, err := survey.Read([]survey.Input{{Name: "x.csv", Reader: bytes.NewReader(b.text.bytes())}}, survey.ReadOptions{}); err != nil {
				t.Fatalf("%q: %v", text, err)
			}
		}
	})
}
