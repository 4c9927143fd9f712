package report

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// manyMarks is a table of marks at which key and fill are 2:1, as is wanted, but for the
// last, which is two stops off.
func manyMarks(n int) string {
	var b strings.Builder
	b.WriteString("# target: 2:1\nmark,role,E (lx)\n")
	for i := range n - 1 {
		fmt.Fprintf(&b, "p%d,key,800\np%d,fill,400\n", i+1, i+1)
	}
	return b.String() + "curtain,key,800\ncurtain,fill,100\n"
}

// Of very many marks the page and the sheet have the decisive ones and what exposes them,
// say how many more there are and where, and take no more room for more of them. JSON has
// all.
func TestVeryManyMarks(t *testing.T) {
	var pages []int
	for _, n := range []int{answers.MostMarks, 3000, 6000} {
		r := read(t, folderOf(map[string]string{"ratio.csv": manyMarks(n), "setup.csv": "key,value\niso,800\nshutter,1/50\n"}), Options{})
		page := strings.ReplaceAll(pageOf(t, r), "\u00a0", " ")
		text := textOf(t, page)
		left := n - answers.MostMarks
		for _, told := range []string{
			fmt.Sprintf("%d of %d marks within", n-1, n),
			fmt.Sprintf("200 of %d marks, those out of target or unsettled first; %d more are in the report's JSON, and evenfall ratio --full lists all of ratio.csv", n, left),
		} {
			if want := left > 0 || strings.Contains(told, "within"); strings.Contains(text, told) != want {
				t.Errorf("%d marks: %q is told: %t, expected %t", n, told, !want, want)
			}
		}
		if all := fmt.Sprintf("%d readings were taken; the first 5000 are listed here, and all of them stand in ratio.csv.", 2*n); strings.Contains(text, all) != (left > 0) {
			t.Errorf("%d marks: what is left out of the readings is told otherwise", n)
		}
		for _, told := range []string{ // on the sheet
			fmt.Sprintf("9 decisive of %d marks", n), "stops from key; all are in ratio.csv", fmt.Sprintf("%d more marks in ratio.csv", n-9),
		} {
			if !strings.Contains(text, told) {
				t.Errorf("%d marks: %q is not told", n, told)
			}
		}
		if got := strings.Count(text, "key plus fill 1200 lx: "); got != 7 { // and the curtain, both against the first
			t.Errorf("%d marks: the sheet compares %d with the first, expected 7", n, got)
		}
		if !strings.Contains(text, "Lights at curtain") {
			t.Errorf("%d marks: the one out of its target is not listed", n)
		}
		var sheet strings.Builder
		if _, err := r.ResetSheet(&sheet, document.Words{}, "html"); err != nil || !strings.Contains(sheet.String(), "curtain") {
			t.Errorf("%d marks: the one out of its target is not on the sheet: %v", n, err)
		}
		all, err := json.Marshal(r)
		if got := strings.Count(string(all), `"label":"p`); err != nil || got < n-1 {
			t.Errorf("JSON has %d of %d marks: %v", got, n, err)
		}
		pages = append(pages, len(page))
	}
	if float64(pages[2]) > 1.02*float64(pages[1]) {
		t.Errorf("the page grows with marks that it does not list: %v", pages)
	}
}

// Of very many readings of a kind a page lists the first, and says how many there are and
// where: of lamps read alone and of places read again as of places.
func TestVeryManyReadingsOfAKind(t *testing.T) {
	var b strings.Builder
	b.WriteString("# surface: cloth\nx (m),y (m),lamp,E (lx)\n")
	for i := range 5001 {
		fmt.Fprintf(&b, "%d,%d,,%d\n%[1]d,%[2]d,,%[3]d\n%[1]d,%[2]d,left,%d\n", i%100, i/100, 800+i%7, 400+i%7)
	}
	text := textOf(t, strings.ReplaceAll(pageOf(t, read(t, folderOf(map[string]string{"cloth.csv": b.String()}), Options{})), "\u00a0", " "))
	for told, times := range map[string]int{"5001 places were read; the first 5000 are": 1, "10002 readings were taken again; the first 5000 are": 1, "5001 readings of single lamps were taken; the first 5000 are": 1, " are listed here, and all of them stand in cloth.csv.": 3} {
		if got := strings.Count(text, told); got != times {
			t.Errorf("%q is told %d times, expected %d", told, got, times)
		}
	}
}

// Where marks stand, and what does not fit at them, is on the sheet for as many as it has
// room for, with how many more there are and where: no line of it grows with the table.
func TestVeryManyPlacesOfMarks(t *testing.T) {
	for _, n := range []int{sheetMarks, sheetMarks + 1, 500} {
		var b strings.Builder
		b.WriteString("mark,role,E (lx),to screen (m)\n")
		for i := range n {
			fmt.Fprintf(&b, "p%d,key,800,%g\np%[1]d,fill,400,\np%[1]d,key+fill,2000,\n", i+1, 2+0.01*float64(i)) // not 1200
		}
		s := read(t, folderOf(map[string]string{"ratio.csv": b.String()}), Options{}).resetSheet(document.Words{})
		more := map[int]string{sheetMarks + 1: "1 more mark in ratio.csv.", 500: "491 more marks in ratio.csv."}[n]
		for what, line := range map[string]string{"out": strings.Join(s.Under, " "), "key+fill reads": strings.Join(s.Contradicts, " ")} {
			if got := strings.Count(line, what); got != sheetMarks || !strings.HasSuffix(line, more) || strings.Contains(line, " more mark") != (more != "") {
				t.Errorf("%d marks: %q is on the sheet %d times, expected %d and %q: %.2000s", n, what, got, sheetMarks, more, line)
			}
		}
	}
}
