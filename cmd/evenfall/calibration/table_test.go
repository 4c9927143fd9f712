package calibration

import (
	"encoding/csv"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
)

const (
	ratesFile  = "rates.csv"
	readmeFile = "../../../README.md"
	tableHead  = "| stated | at most | simulated, worst kind | cases | kinds | worst kind |\n| --- | --- | --- | --- | --- | --- |\n"
	wholeHead  = "| stated | at most | simulated | said in | kind |\n| --- | --- | --- | --- | --- |\n"
)

var mu sync.Mutex

func sorted(m map[string]float64) []string { return slices.Sorted(maps.Keys(m)) }

// simulations are all there are, in the order of the table.
func simulations() []simulation {
	return slices.Concat(ofSurfaces(), ofDisplays(), ofIncomplete(), ofDrift(), ofSuspects(), ofCopies(), ofColor(), ofRatios(), ofCoarseRatios(), ofDistance(), ofMeters(), ofMatches(), ofLamps(), ofBalance(), ofPlans(), ofDimmers(), ofDimmedColors(), ofScreens(), ofSpill())
}

// kept are the rates of the last run in full.
func kept(t *testing.T) []rate {
	t.Helper()
	file, err := os.Open(ratesFile)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []rate
	for _, row := range rows[1:] {
		r := rate{subject: row[0], claim: row[1], generator: row[2]}
		if r.most, err = strconv.ParseFloat(row[3], 64); err != nil {
			t.Fatal(err)
		}
		for i, n := range []*int{&r.cases, &r.said, &r.wrong} {
			if *n, err = strconv.Atoi(row[4+i]); err != nil {
				t.Fatal(err)
			}
		}
		out = append(out, r)
	}
	return out
}

// keep replaces the rates that were run in the file, in the order of the simulations,
// and the table of the README.
func keep(t *testing.T, run []rate) {
	t.Helper()
	known := kept(t)
	var out []rate
	for _, s := range simulations() {
		for _, claim := range sorted(s.most) {
			same := func(r rate) bool {
				return r.subject == s.subject && r.generator == s.generator && r.claim == claim
			}
			if i := slices.IndexFunc(run, same); i >= 0 {
				out = append(out, run[i])
			} else if i := slices.IndexFunc(known, same); i >= 0 {
				out = append(out, known[i])
			}
		}
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write([]string{"stated", "claim", "drawn", "at most", "cases", "said", "wrong"})
	for _, r := range out {
		w.Write([]string{r.subject, r.claim, r.generator, fmt.Sprint(r.most), strconv.Itoa(r.cases), strconv.Itoa(r.said), strconv.Itoa(r.wrong)})
	}
	w.Flush()
	readme, err := os.ReadFile(readmeFile)
	if err != nil {
		t.Fatal(err)
	}
	before, _, after := cutTable(t, string(readme))
	for path, content := range map[string]string{ratesFile: b.String(), readmeFile: before + table(out) + after} {
		if err := os.WriteFile(path, []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d rates\n%s", len(out), whole(out))
}

// whole is each rate as Markdown.
func whole(rates []rate) string {
	var b strings.Builder
	b.WriteString(wholeHead)
	for _, r := range rates {
		fmt.Fprintf(&b, "| %s: %s | %g %% | %.1f ± %.1f %% | %d of %d | %s |\n", r.subject, r.claim, 100*r.most, 100*r.share(), 100*r.standardError(), r.said, r.cases, r.generator)
	}
	return b.String()
}

// table is the rates as the README has them: of each subject and limit the claim and the
// kind of cases in which it is wrong most often, as a part of the rate that is stated of it.
func table(rates []rate) string {
	type line struct {
		worst         rate
		cases         int
		claims, kinds map[string]bool
	}
	var lines []line
	for _, r := range rates {
		i := slices.IndexFunc(lines, func(l line) bool { return l.worst.subject == r.subject && l.worst.most == r.most })
		if i < 0 {
			i, lines = len(lines), append(lines, line{worst: r, claims: map[string]bool{}, kinds: map[string]bool{}})
		}
		l := &lines[i]
		l.claims[r.claim], l.kinds[r.generator] = true, true
		l.cases += r.said
		if r.share() > l.worst.share() {
			l.worst = r
		}
	}
	var b strings.Builder
	b.WriteString(tableHead)
	for _, l := range lines {
		r := l.worst
		of := ""
		if n := len(l.claims); n > 1 {
			of = fmt.Sprintf(", the worst of %d claims", n)
		}
		fmt.Fprintf(&b, "| %s: %s%s | %g %% | %.1f ± %.1f %% | %d | %d | %s |\n", r.subject, r.claim, of, 100*r.most, 100*r.share(), 100*r.standardError(), l.cases, len(l.kinds), r.generator)
	}
	return b.String()
}

// cutTable cuts the table out of the README.
func cutTable(t *testing.T, readme string) (before, inside, after string) {
	t.Helper()
	start := strings.Index(readme, tableHead)
	if start < 0 {
		t.Fatalf("README.md has no table that starts with %q", tableHead)
	}
	end := start
	for line := range strings.Lines(readme[start:]) {
		if !strings.HasPrefix(line, "|") {
			break
		}
		end += len(line)
	}
	return readme[:start], readme[start:end], readme[end:]
}

// The README has the rates of the file, which has all of the simulations, in full, and
// none above what is stated.
func TestTable(t *testing.T) {
	if inFull() {
		t.Skip("being rewritten")
	}
	readme, err := os.ReadFile(readmeFile)
	if err != nil {
		t.Fatal(err)
	}
	rates := kept(t)
	if _, inside, _ := cutTable(t, string(readme)); inside != table(rates) {
		t.Errorf("the table of README.md is not that of %s: CALIBRATION=1 go test ./cmd/evenfall/calibration", ratesFile)
	}
	i := 0
	for _, s := range simulations() {
		for _, claim := range sorted(s.most) {
			if i >= len(rates) || rates[i].subject != s.subject || rates[i].generator != s.generator || rates[i].claim != claim || rates[i].most != s.most[claim] || rates[i].cases != s.full {
				t.Fatalf("%s has no rate of %s, %s, %s, of %d cases: CALIBRATION=1 go test ./cmd/evenfall/calibration -run 'Rates/.*/%s'", ratesFile, s.subject, claim, s.generator, s.full, s.subject)
			}
			if rates[i].exceeded() {
				t.Errorf("%s, %s, %s: %d of %d, at most %g %%", s.subject, s.generator, claim, rates[i].wrong, rates[i].said, 100*s.most[claim])
			}
			i++
		}
	}
	if i < len(rates) {
		t.Errorf("%s has %d rates that nothing simulates", ratesFile, len(rates)-i)
	}
}
