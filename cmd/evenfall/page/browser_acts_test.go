package page_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// nineRead is a cloth of nine places of which all but some are read, in lux.
func nineRead(but ...string) string {
	levels := map[string]string{"A1": "742", "A2": "765", "A3": "790", "B1": "810", "B2": "800", "B3": "780", "C1": "755", "C2": "760", "C3": "770"}
	return grown(3, 3, "# surface: cloth\n# for: screen\n# width: 3\n# height: 3\nlabel,time,E (lx),note,status\n", func(label string) string {
		if slices.Contains(but, label) {
			return ",,,"
		}
		return fmt.Sprintf("2026-03-04T10:0%c:0%d+01:00,%s,,", label[0]-'A'+'0', label[1]-'0', levels[label])
	})
}

var clockTimes = regexp.MustCompile(`\d\d:\d\d:\d\d`)

// reply answers a question once it is asked.
func (d *device) reply(title string) {
	d.t.Helper()
	d.shows(".answers button b, .answers .later", title)
	d.button(title)
}

// What comes up where the keypad was takes no tap that was meant for a digit: neither the
// answers to a question nor what can be done once all is read.
func TestBrowserKeypadsPlaceTakesNoStrayTap(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, level, keys string
		then              func(*device)
		want              string
	}{
		{"question", "71", ".answers button", func(d *device) { d.reply("It was 71 fc"); d.saved() }, "71 fc|read as 71 lx|right 71 fc"},
		{"finished", "770", ".actions .wide", func(d *device) {
			d.press(`document.querySelector(".actions .wide")`)
			d.shows(".result .verdict", "PASS")
		}, "770||"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := serve(t, page.Options{})
			s.write("cloth.csv", nineRead("C3"))
			d := newDevice(t, browsertest.Open(t, 360, 740))
			d.open(s.url() + "#/s/cloth.csv")
			d.at("C3")
			// A finger that is on its way when they appear.
			eval[bool](d, `window.strayed = "",
				new MutationObserver((_, o) => {
					const b = document.querySelector(`+quote(c.keys)+`)?.getBoundingClientRect();
					if (!b?.width) return;
					o.disconnect();
					const under = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
					window.strayed = under.closest(`+quote(c.keys)+`) ? "taken" : "nothing";
				}).observe(document.body, { subtree: true, childList: true, attributes: true }), true`)
			d.typed(c.level)
			d.wait(`window.strayed`)
			if got := eval[string](d, `window.strayed`); got != "nothing" {
				t.Errorf("a tap on what only just came up: %s", got)
			}
			c.then(d)
			if got := strings.Join(s.cells("cloth.csv", "C3"), " "); got != c.want {
				t.Errorf("C3 on the disk: %q, expected %q", got, c.want)
			}
		})
	}
}

// cells are the rows of a place on the disk, each as level, note and status.
func (s *stage) cells(name, label string) (out []string) {
	for _, row := range s.rows(name) {
		if row["label"] == label {
			out = append(out, strings.Join([]string{row["E (lx)"], row["note"], row["status"]}, "|"))
		}
	}
	return out
}

// command is the program, built once beside the tests, for those that run it on what the page
// wrote.
var command = sync.OnceValues(func() (string, error) {
	path := filepath.Join(filepath.Dir(os.Args[0]), "evenfall-tested")
	out, err := exec.Command("go", "build", "-o", path, "evenfall/cmd/evenfall").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, out)
	}
	return path, err
})

// judged is what evenfall surface makes of a file.
func (s *stage) judged(name string) *evenness.Result {
	s.t.Helper()
	file, err := os.Open(filepath.Join(s.folder, name))
	if err != nil {
		s.t.Fatal(err)
	}
	defer file.Close()
	read, err := survey.Read([]survey.Input{{Name: name, Reader: file}}, survey.ReadOptions{})
	if err != nil {
		s.t.Fatal(err)
	}
	r, err := evenness.Analyze(read)
	if err != nil {
		s.t.Fatal(err)
	}
	path, err := command()
	if err != nil {
		s.t.Fatal(err)
	}
	var told struct {
		Points   int              `json:"points"`
		Verdict  evenness.Verdict `json:"verdict"`
		Evenness struct {
			Min float64 `json:"min"`
		} `json:"evenness"`
	}
	out, _ := exec.Command(path, "surface", filepath.Join(s.folder, name), "--json").Output() // status 1 is a verdict
	if err := json.Unmarshal(out, &told); err != nil {
		s.t.Fatalf("evenfall surface: %v: %s", err, out)
	}
	if told.Points != r.Points || told.Verdict != r.Verdict || told.Evenness.Min != r.Evenness.Min {
		s.t.Errorf("evenfall surface says %+v of %s, expected %d points, %+v, %g lx", told, name, r.Points, r.Verdict, r.Evenness.Min)
	}
	return r
}

// Each act at one place: what it writes into the file, and what the surface is then.
func TestBrowserActs(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url())
	d.shows(".note", "None yet")
	for _, c := range []struct {
		name    string
		file    string
		place   string
		act     func(d *device)
		want    string // cells of the place, times left out
		verdict string
		places  int
		least   float64 // lx
		suspect bool
	}{
		{name: "next", file: nineRead("C3"), place: "C3", act: func(d *device) { d.shows(".pad .next small", "last"); d.typed("770") }, want: "770||", verdict: "pass", places: 9, least: 742},
		{name: "change", file: nineRead(), place: "A1", act: func(d *device) { d.jump("A1"); d.shows(".pad .next", "Replace 742"); d.typed("730") },
			want: "730|was 742 lx TIME|", verdict: "pass", places: 9, least: 730},
		{name: "again", file: nineRead(), place: "A1", act: func(d *device) {
			d.jump("A1")
			d.button("Again")
			d.shows(".pad .next", "Add beside")
			d.typed("738")
		}, want: "742|| 738|again|", verdict: "pass", places: 9, least: 740},
		{name: "it was footcandles", file: nineRead("C3"), place: "C3", act: func(d *device) { d.typed("71"); d.reply("It was 71 fc") },
			want: "71 fc|read as 71 lx|right 71 fc", verdict: "pass", places: 9, least: 742},
		{name: "it was a digit", file: nineRead("C3"), place: "C3", act: func(d *device) { d.typed("77"); d.reply("It was 770") },
			want: "770|read as 77 lx|right 770", verdict: "pass", places: 9, least: 742},
		{name: "right as read", file: nineRead("C3"), place: "C3", act: func(d *device) { d.typed("71"); d.reply("Right as read") },
			want: "71||right 71", verdict: "fail", places: 9, least: 71},
		{name: "read again", file: nineRead("C3"), place: "C3", act: func(d *device) { d.typed("71"); d.reply("Read again"); d.at("C3") },
			want: "71||again", verdict: "unsure", places: 8, least: 742},
		{name: "and read", file: nineRead("C3"), place: "C3", act: func(d *device) { d.typed("71"); d.reply("Read again"); d.at("C3"); d.typed("771") },
			want: "771|was 71 lx TIME|", verdict: "pass", places: 9, least: 742},
		{name: "later", file: nineRead("C3"), place: "C3", act: func(d *device) {
			d.typed("71")
			d.reply("Later: the verdict waits")
			d.shows(".settled", "1 question open: C3")
		},
			want: "71||", verdict: "unsure", places: 9, least: 71, suspect: true},
		{name: "undo of next", file: nineRead("C3"), place: "C3", act: func(d *device) { d.typed("770"); d.saved(); d.jump("A1"); d.button("Undo"); d.at("C3") },
			want: "||", verdict: "unsure", places: 8, least: 742},
		{name: "undo after a reload", file: nineRead(), place: "A1", act: func(d *device) {
			d.jump("A1")
			d.typed("730")
			d.saved()
			browsertest.Do(t, d.tab, chromedp.Reload())
			d.wait(`document.getElementById("place")`)
			d.jump("B2")
			d.shows(".tools", "A1 730")
			d.button("Undo")
			d.at("A1")
		}, want: "742||", verdict: "pass", places: 9, least: 742},
		{name: "undo of an answer", file: nineRead("C3"), place: "C3", act: func(d *device) {
			d.typed("71")
			d.reply("It was 71 fc")
			d.saved()
			d.jump("B2")
			d.button("Undo")
		}, want: "71||", verdict: "unsure", places: 9, least: 71, suspect: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s.t, d.t = t, t
			file := strings.ReplaceAll(c.name, " ", "-") + ".csv"
			s.write(file, c.file)
			d.turn("#/s/" + file)
			d.wait(`document.getElementById("place")`)
			before := s.rows(file)
			c.act(d)
			d.saved()
			got := clockTimes.ReplaceAllString(strings.Join(s.cells(file, c.place), " "), "TIME")
			if got != c.want {
				t.Errorf("%s on the disk: %q, expected %q", c.place, got, c.want)
			}
			if strings.HasPrefix(c.name, "undo") && c.name != "undo of an answer" {
				for i, row := range s.rows(file) {
					if fmt.Sprint(row) != fmt.Sprint(before[i]) {
						t.Errorf("a row is %v, it was %v before", row, before[i])
					}
				}
			}
			r := s.judged(file)
			if r.Verdict.Evenness != c.verdict || r.Points != c.places || r.Evenness.Min != c.least || len(r.Suspects) > 0 != c.suspect {
				t.Errorf("the surface is %s of %d places from %g lx with %d suspects, expected %s, %d, %g, suspects %v", r.Verdict.Evenness, r.Points, r.Evenness.Min, len(r.Suspects), c.verdict, c.places, c.least, c.suspect)
			}
		})
	}
	s.t, d.t = t, t
	d.clean(s.address)
}

// Two devices read one place unseen: within twice the repeatability both count and both
// are told; else each is asked, and every answer writes what it says.
func TestBrowserConflict(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	tab := browsertest.Open(t, 390, 844)
	phone, tablet := newDevice(t, tab), newDevice(t, another(t, tab))
	for _, d := range []*device{phone, tablet} {
		d.open(s.url())
		d.shows(".note", "None yet")
	}
	for _, c := range []struct{ name, second, answer, want, verdict string }{
		{"agree", "775", "", "770|| 775|also by computer 2|", "pass"},
		{"open", "912", "", "770||conflict 912|also by computer 2|conflict", "unsure"},
		{"the first", "912", "770 lx", "770|| 912|also by computer 2|out", "pass"},
		{"both", "912", "Both count", "770|| 912|also by computer 2; again|", "unsure"},
		{"neither", "912", "Read again", "770||again 912|also by computer 2|out", "unsure"},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := strings.ReplaceAll(c.name, " ", "-") + ".csv"
			s.t = t
			s.write(file, nineRead("C3"))
			for _, d := range []*device{phone, tablet} {
				d.t = t
				d.turn("#/s/" + file)
				d.at("C3")
			}
			tablet.cut("/api/*")
			tablet.typed(c.second)
			tablet.shows("#status", "1 waiting")
			phone.typed("770")
			phone.saved()
			tablet.cut("")
			tablet.saved()
			if c.name == "agree" {
				phone.shows(".notices", "C3 was read by two devices, 770 lx and 775 lx: they agree and count as repeats")
				tablet.shows(".notices", "C3 was read by two devices, 770 lx and 775 lx: they agree and count as repeats")
			} else {
				phone.shows(".ask .why", "Two devices read it")
				tablet.shows(".ask .why", "Two devices read it")
			}
			if c.answer != "" {
				tablet.reply(c.answer)
				tablet.saved()
				phone.wait(`!document.querySelector(".ask .why").textContent.includes("Two devices")`)
			}
			if got := strings.Join(s.cells(file, "C3"), " "); got != c.want {
				t.Errorf("C3 on the disk: %q, expected %q", got, c.want)
			}
			if r := s.judged(file); r.Verdict.Evenness != c.verdict {
				t.Errorf("the surface is %s, expected %s", r.Verdict.Evenness, c.verdict)
			}
		})
	}
	s.t = t
	for _, d := range []*device{phone, tablet} {
		d.t = t
		d.clean(s.address, "ERR_BLOCKED_BY_CLIENT")
	}
}

// An undo says no where somebody changed the place since.
func TestBrowserUndoRefused(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", nineRead("C3"))
	tab := browsertest.Open(t, 390, 844)
	phone, tablet := newDevice(t, tab), newDevice(t, another(t, tab))
	for _, d := range []*device{phone, tablet} {
		d.open(s.url() + "#/s/cloth.csv")
		d.at("C3")
	}
	phone.typed("770")
	phone.saved()
	tablet.cell("C3", "770")
	tablet.jump("C3")
	tablet.typed("766")
	tablet.saved()
	phone.cell("C3", "766")
	phone.jump("A1")
	phone.button("Undo")
	phone.shows(".refused", "somebody changed C3 since, so it is not undone")
	if got := s.cells("cloth.csv", "C3"); len(got) != 1 || !strings.HasPrefix(got[0], "766|was 770 lx ") {
		t.Errorf("C3 on the disk: %q", got)
	}
	if r := s.judged("cloth.csv"); r.Points != 9 || r.Verdict.Evenness != "pass" {
		t.Errorf("the surface is %s of %d places", r.Verdict.Evenness, r.Points)
	}
	phone.clean(s.address)
	tablet.clean(s.address)
}

// What was typed is there after a refusal, a reload, another theme, a turn of the phone
// and a look at the result.
func TestBrowserKeepsDigits(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", nineRead("C2", "C3"))
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/cloth.csv")
	d.wait(`document.getElementById("place")`)
	there := func(when, want string) {
		t.Helper()
		if got := eval[string](d, `document.getElementById("in-level").value`); got != want {
			t.Errorf("%s the field has %q, expected %q", when, got, want)
		}
	}
	d.pad("7", ".", ".", "4", "Next")
	d.shows(".refused", "Not accepted")
	d.button("Change")
	there("after a refusal", "7..4")
	browsertest.Do(t, d.tab, chromedp.Reload())
	d.wait(`document.getElementById("in-level")?.value`)
	there("after a reload", "7..4")
	d.pad("⌫", "⌫", "⌫", "5")
	d.more()
	d.button("light")
	d.button("Close")
	there("in another theme", "75")
	browsertest.Do(t, d.tab, chromedp.EmulateViewport(844, 390))
	there("turned", "75")
	d.button("Result")
	d.button("Read")
	d.wait(`document.getElementById("in-level")`)
	there("after a look at the result", "75")
	browsertest.Do(t, d.tab, chromedp.EmulateViewport(390, 844))
	d.pad("8", "Next")
	d.saved()
	d.clean(s.address)
}
