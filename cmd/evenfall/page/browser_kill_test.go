package page_test

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"evenfall/cmd/evenfall/browsertest"
)

// Two browsers walk one cloth, each with a network that comes and goes, while the program
// is killed in the middle: what every reading and its rival come to is in the file, each
// reading once, and both browsers show the same.
func TestBrowserTwoWalkersAndAKill(t *testing.T) {
	t.Parallel()
	s := &stage{t: t, folder: t.TempDir()}
	s.write("cloth.csv", grown(3, 4, "# surface: cloth\n# for: screen\n# width: 3\n# height: 2.4\nlabel,time,E (lx),note,status\n", func(string) string { return ",,," }))
	at, kill := served(t, s.folder, "")
	s.address = at
	tab := browsertest.Open(t, 390, 844)
	walkers := []*device{newDevice(t, tab), newDevice(t, another(t, tab))}
	const shown = `[...document.querySelectorAll(".stage .places > .done")].map(n => n.querySelector("b").textContent + n.querySelector("span").textContent).join(" ")`
	// Either may hear of the last entry later than the other.
	agree := func() {
		for until := time.Now().Add(20 * time.Second); ; time.Sleep(100 * time.Millisecond) {
			first, second := eval[string](walkers[0], shown), eval[string](walkers[1], shown)
			if first == second {
				return
			}
			if time.Now().After(until) {
				t.Fatalf("the two see %q and %q", first, second)
			}
		}
	}
	typed := map[string][]string{}
	random := rand.New(rand.NewPCG(16, 1))
	for k, d := range walkers {
		d.open(s.url() + "#/s/cloth.csv")
		d.at([]string{"A1", "A2"}[k])
	}
	for step := range 10 {
		k := step % 2
		d := walkers[k]
		if step == 5 {
			kill()
		}
		if step == 8 {
			_, kill = served(t, s.folder, at)
		}
		if step < 5 || step >= 8 { // a question, or that all are read, takes the pad away: no entry may arrive while one presses
			walkers[0].saved()
			walkers[1].saved()
			agree()
		}
		label := d.place()
		if label == "✓" || len(typed[label]) > 0 && eval[bool](d, `document.querySelector(".pad .next")?.textContent.startsWith("Replace") ?? true`) {
			continue
		}
		level := fmt.Sprint(700 + 5*step + 200*k*random.IntN(2)) // now and then far apart
		typed[label] = append(typed[label], level)
		d.typed(level)
	}
	for _, d := range walkers {
		d.saved()
	}
	agree()
	for _, d := range walkers { // what both read while the program was gone is asked about later
		for eval[bool](d, `document.querySelector(".answers .later")?.checkVisibility() ?? false`) {
			d.button("Later: the verdict waits")
		}
	}
	first, second := walkers[0], walkers[1]
	// One is typed over: the new one alone counts, and the old one is noted.
	first.jump("A1")
	first.typed("650")
	first.saved()
	wanted := map[string]string{"A1": "650|was " + typed["A1"][0] + " lx TIME|"}
	typed["A1"] = append(typed["A1"], "650")
	// One is typed over and taken back.
	second.cell("A1", "650")
	wanted["A2"] = strings.Join(s.cells("cloth.csv", "A2"), " ")
	second.jump("A2")
	second.typed("651")
	second.saved()
	second.button("Undo")
	second.saved()
	// Two read a place unseen, too far apart.
	last := ""
	for _, row := range s.rows("cloth.csv") {
		if len(typed[row["label"]]) == 0 {
			last = row["label"]
		}
	}
	for k, d := range walkers {
		d.jump(last)
		d.cut("/api/*")
		d.typed([]string{"660", "990"}[k])
		d.shows("#status", "1 waiting")
	}
	for _, d := range walkers {
		d.cut("")
		d.saved()
	}
	wanted[last] = "660||conflict 990|also by computer|conflict" // whichever of them the program that was begun anew calls so
	typed[last] = []string{"660", "990"}
	for label, want := range wanted {
		got := s.cells("cloth.csv", label)
		slices.Sort(got)
		if is := strings.Replace(clockTimes.ReplaceAllString(strings.Join(got, " "), "TIME"), "computer 2", "computer", 1); is != clockTimes.ReplaceAllString(want, "TIME") {
			t.Errorf("%s on the disk: %q, expected %q", label, is, want)
		}
	}
	read := map[string][]string{}
	open := 0
	for _, row := range s.rows("cloth.csv") {
		if row["E (lx)"] == "" {
			continue
		}
		read[row["label"]] = append(read[row["label"]], row["E (lx)"])
		// Where the other's reading arrives while a digit is typed, it is replaced and noted.
		for _, was := range regexp.MustCompile(`was (\d+) lx`).FindAllStringSubmatch(row["note"], -1) {
			read[row["label"]] = append(read[row["label"]], was[1])
		}
		if row["status"] == "conflict" {
			open++
		}
	}
	for label, want := range typed {
		slices.Sort(want)
		slices.Sort(read[label])
		if !slices.Equal(read[label], want) {
			t.Errorf("%s: %q is on the disk, %q was typed", label, read[label], want)
		}
	}
	agree()
	if open > 0 {
		for _, d := range walkers {
			d.wait(`document.body.textContent.includes("two readings") || document.body.textContent.includes("Two devices read it")`)
		}
	}
	t.Logf("%d places typed, %d rows in conflict", len(typed), open)
}
