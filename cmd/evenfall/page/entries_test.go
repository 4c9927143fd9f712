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
	"pgregory.net/rapid"

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

func set(label string, minutes float64, text string) Entry {
	return Entry{Label: label, At: at(minutes), Text: text, Kind: kindSet}
}

func repeat(label string, minutes float64, text string) Entry {
	return Entry{Label: label, At: at(minutes), Text: text, Kind: kindRepeat}
}

func wipe(label string, minutes float64) Entry {
	return Entry{Label: label, At: at(minutes), Kind: kindClear}
}

func takeBack(label string, minutes, of float64) Entry {
	return Entry{Label: label, At: at(minutes), Of: at(of), Kind: kindClear}
}

// readings are what a file says, sorted, each as label lamp time level note.
func readings(t interface{ Fatal(...any) }, content []byte) []string {
	b, err := newEditor("cloth.csv", content, noon, zone)
	if err != nil {
		t.Fatal(err, string(content))
	}
	out := []string{}
	for _, r := range b.rows {
		if r.blank() {
			continue
		}
		c := b.reading(r)
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %s %s %s%s%s%s %s", r.Label, r.Lamp, time.UnixMilli(r.UnixMilli).In(zone).Format("15:04:05.000"), c.Text, pad(c.CCT), c.Duv, c.CC, c.Note)))
	}
	slices.Sort(out)
	return out
}

func pad(text string) string {
	if text == "" {
		return ""
	}
	return " " + text
}

func TestEntries(t *testing.T) {
	for _, c := range []struct {
		name     string
		entries  []Entry
		outcomes string
		want     []string
	}{
		{"a reading", []Entry{set("a2", 0, " 742 ")}, "stored", []string{"A2  12:00:00.000 742"}},
		{"the same again", []Entry{set("A2", 0, "742"), set("A2", 0, "742")}, "stored same", []string{"A2  12:00:00.000 742"}},
		{"a correction", []Entry{set("A2", 0, "742"), set("A2", 1, "724")}, "stored stored", []string{"A2  12:01:00.000 724"}},
		{"an older one late", []Entry{set("A2", 1, "724"), set("A2", 0, "742")}, "stored not_newer", []string{"A2  12:01:00.000 724"}},
		{"cleared, an older one late", []Entry{set("A2", 1, "724"), wipe("A2", 2), set("A2", 1.5, "700")}, "stored stored not_newer", []string{"A2  12:02:00.000"}},
		{"repeats", []Entry{set("B2", 0, "742"), repeat("B2", 10, "740"), repeat("A1", 11, "600")}, "stored stored stored",
			[]string{"A1  12:11:00.000 600 again", "B2  12:00:00.000 742", "B2  12:10:00.000 740 reference again"}},
		{"a set takes the place of repeats before it", []Entry{set("B2", 0, "742"), repeat("B2", 10, "740"), repeat("B2", 20, "738"), set("B2", 15, "750")}, "stored stored stored stored",
			[]string{"B2  12:15:00.000 750", "B2  12:20:00.000 738 reference again"}},
		{"a repeat taken back", []Entry{set("B2", 0, "742"), repeat("B2", 10, "74"), takeBack("B2", 11, 10), repeat("B2", 10, "74")}, "stored stored stored not_newer",
			[]string{"B2  12:00:00.000 742", "B2  12:10:00.000  reference again"}},
		{"taken back before it came", []Entry{takeBack("B2", 11, 10), set("B2", 10, "742"), set("B2", 9, "742")}, "stored stored not_newer", []string{"B2  12:10:00.000"}},
		{"footcandles, thousands, a comma", []Entry{set("A1", 0, "116 fc"), set("A2", 0, "1.25k"), set("A3", 0, "1,25k")}, "stored stored stored",
			[]string{"A1  12:00:00.000 116 fc", "A2  12:00:00.000 1.25k", "A3  12:00:00.000 1.25k"}},
		{"color", []Entry{{Label: "A1", At: at(0), Text: "742", CCT: "5600 K", Duv: "+0.003", Kind: kindSet}, {Label: "A2", At: at(0), Text: "742", CCT: "5,6", Kind: kindSet},
			{Label: "A2", At: at(0), Text: "742", CCT: "5600", CC: "needs 2M", Kind: kindSet}}, "stored refused stored",
			[]string{"A1  12:00:00.000 742 56000.003", "A2  12:00:00.000 742 5600needs 2M"}},
		{"a lamp alone", []Entry{{Label: "A1", Lamp: "cloth left", At: at(0), Text: "0", Kind: kindSet}, {Label: "A1", Lamp: "All", At: at(0), Text: "742", Kind: kindSet}}, "stored stored",
			[]string{"A1  12:00:00.000 742", "A1 cloth left 12:00:00.000 0"}},
		{"refusals", []Entry{set("Z9", 0, "742"), set("A1", 0, ""), set("A1", 0, "0"), set("A1", 0, "742 m"), set("A1", 0, "f/8"), set("A1", 0, "-5"), set("A1", 11, "742"),
			{Label: "A1", At: 0, Text: "742", Kind: kindSet}, {Label: "A1", At: at(0), Text: "742", Kind: "put"}, {Label: "A1", Lamp: "=1+1", At: at(0), Text: "7", Kind: kindSet}, set("A1", 0, "1,234")},
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
				o, _ := b.apply(e, now)
				outcomes = append(outcomes, o.Outcome)
				if (o.Outcome == refused) != (o.Text != "") || o.Outcome == refused && !strings.Contains(o.Text, "expected") {
					t.Errorf("%+v: %+v", e, o)
				}
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
	for _, e := range []Entry{set("A2", 1, "1250.5"), set("A1", 2, "116 fc"), repeat("A3", 3, "801")} {
		if o, _ := b.apply(e, noon.Add(time.Hour)); o.Outcome != stored {
			t.Fatal(o)
		}
	}
	want := "\xef\xbb\xbf# surface: \"green\" cloth, day 2\r\n" + notes + "# my own remark\r\n" +
		"Raum ;  label;E (lx);time;gel;note\r\n" +
		"A;A1;116 fc;12:02:00.000;\"half; \"\"CTB\"\"\";by the door\r\n" +
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
	for _, e := range []Entry{set("A3", 1, "750"), {Label: "A1", Lamp: "key, left", At: at(2), Text: "300", Kind: kindSet}} {
		if o, _ := b.apply(e, noon.Add(time.Hour)); o.Outcome != stored {
			t.Fatal(o)
		}
	}
	want := "# width: 3\n# height: 1\nlabel,lux,time,lamp\nA1,742,\nA2,\nA3,750,2026-03-04T12:01:00.000+01:00\nA1,300,2026-03-04T12:02:00.000+01:00,\"key, left\""
	if diff := cmp.Diff(want, string(b.text.bytes())); diff != "" {
		t.Error(diff)
	}
}

// Entries of two devices end in the same table whatever way they come, however
// often, and wherever the program starts anew in between.
func TestEntriesConverge(t *testing.T) {
	labels := []string{"A1", "B2"}
	lamps := []string{"", "cloth left"}
	entry := rapid.Custom(func(t *rapid.T) Entry {
		e := Entry{
			Label: rapid.SampledFrom(labels).Draw(t, "label"),
			Lamp:  rapid.SampledFrom(lamps).Draw(t, "lamp"),
			At:    at(0) + rapid.Int64Range(1, 6).Draw(t, "at"),
			Kind:  rapid.SampledFrom([]string{kindSet, kindSet, kindRepeat, kindRepeat, kindClear}).Draw(t, "kind"),
		}
		switch {
		case e.Kind != kindClear:
			e.Text = rapid.SampledFrom([]string{"700", "710", "1.25k", "66 fc"}).Draw(t, "text")
			e.CCT = rapid.SampledFrom([]string{"", "5600"}).Draw(t, "cct")
		case rapid.Bool().Draw(t, "one"):
			e.Of = at(0) + rapid.Int64Range(1, 6).Draw(t, "of")
		}
		return e
	})
	rapid.Check(t, func(t *rapid.T) {
		entries := rapid.SliceOfN(entry, 1, 12).Draw(t, "entries")
		file := rapid.SampledFrom([]string{small, strings.Replace(small, "A1,0.500,1.125,,,", "A1,0.500,1.125,,742,theirs\nA1,0.500,1.125,,740,", 1),
			strings.Replace(small, "B2,1.500,0.375,,,", "B2,1.500,0.375,2026-03-04T11:58:00+01:00,700,\nB2,1.500,0.375,2026-03-04T11:59:00+01:00,710,", 1)}).Draw(t, "file")
		deliver := func(name string, order []Entry) []string {
			b := openText(t, file)
			for i, e := range order {
				if o, _ := b.apply(e, noon.Add(time.Hour)); o.Outcome == refused {
					t.Fatalf("%+v: %+v", e, o)
				}
				if rapid.Bool().Draw(t, fmt.Sprint(name, " restarts after ", i)) {
					b = openText(t, string(b.text.bytes()))
				}
			}
			return readings(t, b.text.bytes())
		}
		again := rapid.SliceOfN(rapid.SampledFrom(entries), 0, 6).Draw(t, "again")
		first := deliver("first", entries)
		second := deliver("second", rapid.Permutation(slices.Concat(entries, again)).Draw(t, "order"))
		if diff := cmp.Diff(first, second); diff != "" {
			t.Fatalf("-first +second\n%s", diff)
		}
	})
}

// FuzzEntry throws anything at an entry: it is refused in words or kept in a file
// that can be read again, with the entry in it.
func FuzzEntry(f *testing.F) {
	for _, text := range []string{`{"label":"A1","at":1772622000000,"text":"742","kind":"set"}`, `{"label":"A1","at":1772622000000,"text":"5.6 7/10","cct":"5600","kind":"set"}`,
		`{"label":"B2","lamp":"a\"b","at":1,"text":"1,25k","duv":"-0.01","cct":"3200","kind":"repeat"}`, `{"label":"a1","at":9,"of":3,"kind":"clear"}`, `{"at":-1}`, `{"lamp":"\n"}`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var e Entry
		if json.Unmarshal([]byte(text), &e) != nil {
			return
		}
		b := openText(t, small)
		o, changed := b.apply(e, noon)
		if changed != (o.Outcome == stored) || o.Outcome != stored && o.Outcome != refused && o.Outcome != notNewer {
			t.Fatalf("%+v, changed %v", o, changed)
		}
		if !changed {
			if o.Text == "" && o.Outcome == refused {
				t.Fatalf("%q is refused without a word", text)
			}
			return
		}
		again := openText(t, string(b.text.bytes()))
		if o, _ := again.apply(e, noon); o.Outcome != same {
			t.Fatalf("%q: sent again it is %+v in\n%s", text, o, b.text.bytes())
		}
		if e.Kind == kindSet && e.Lamp == "" {
			if _, err := survey.Read([]survey.Input{{Name: "x.csv", Reader: bytes.NewReader(b.text.bytes())}}, survey.ReadOptions{}); err != nil {
				t.Fatalf("%q: %v", text, err)
			}
		}
	})
}
