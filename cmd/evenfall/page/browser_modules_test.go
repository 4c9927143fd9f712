package page_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// What the modules make of what people type and paste, asked in the browser that
// runs them.
func TestBrowserModules(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url())
	tests := []struct{ module, call, want string }{
		{"paste", `valuesOf("742\n765\r\n1105\n")`, `["742","765","1105"]`},
		{"paste", `valuesOf("742 765 1105")`, `["742","765","1105"]`},
		{"paste", `valuesOf("742\t765\n1105\t810")`, `["742","765","1105","810"]`},
		{"paste", `valuesOf("742,5; 765,5")`, `["742,5","765,5"]`},
		{"paste", `valuesOf("742, 765, 1105")`, `["742","765","1105"]`},
		{"paste", `valuesOf("5.6 7/10 8 8 3/10")`, `["5.6 7/10","8","8 3/10"]`},
		{"paste", `valuesOf("116 fc 742 lx")`, `["116 fc","742 lx"]`},
		{"paste", `valuesOf("  \n ")`, `[]`},
		{"keypad", `wholeNumber("5.6 7")`, `"5.6 7/10"`},
		{"keypad", `wholeNumber("5.6 0")`, `"5.6"`},
		{"keypad", `wholeNumber("11")`, `"11"`},
		{"keypad", `wholeNumber("5.6 7/10")`, `"5.6 7/10"`},
		{"walk", `withUnit("742", "lx")`, `"742 lx"`},
		{"walk", `withUnit("1.25k", "lx")`, `"1.25k lx"`},
		{"walk", `withUnit("116 fc", "lx")`, `"116 fc"`},
		{"walk", `withUnit("5.6 7/10", "f")`, `"f/5.6 7/10"`},
		// The walk goes round, and what was skipped comes last.
		{"walk", `nextPlace([{label:"A1"},{label:"A2"},{label:"A3"}], {A3: {text: "7"}}, "A2", new Set())`, `"A1"`},
		{"walk", `nextPlace([{label:"A1"},{label:"A2"},{label:"A3"}], {A3: {text: "7"}}, "A2", new Set(["A1"]))`, `"A2"`},
		// What another device holds comes last, but is not left out.
		{"walk", `nextPlace([{label:"A1"},{label:"A2"},{label:"A3"}], {}, "A1", new Set(), new Map([["A2", "tablet"]]))`, `"A3"`},
		{"walk", `nextPlace([{label:"A1"},{label:"A2"},{label:"A3"}], {}, "A1", new Set(["A3"]), new Map([["A2", "tablet"]]))`, `"A1"`},
		{"walk", `nextPlace([{label:"A1"},{label:"A2"}], {A1: {text: "7"}}, "A1", new Set(), new Map([["A2", "tablet"]]))`, `"A2"`},
		{"walk", `nextPlace([{label:"A1"},{label:"A2"}], {A1: {text: "7"}, A2: {text: "8"}}, "A2", new Set())`, `null`},
		// Counted are the readings after the reference's last one, repeats too.
		{"walk", `sinceReference({C5: {text: "9", at: 5}, A1: {text: "7", at: 4}, A2: {text: "8", at: 6, repeats: [{at: 7}]}}, "C5")`, `2`},
		{"walk", `sinceReference({C5: {text: "9", at: 5, repeats: [{at: 6}]}, A2: {text: "8", at: 6}}, "C5")`, `0`},
		{"walk", `sinceReference({A2: {text: "8", at: 6}}, "C5")`, `0`},
		// What waits is shown over what the program has.
		{"walk", `merge({lamps: [""], unit: "lx", cells: {"": {A1: {text: "7", at: 4, seen: 4}}}}, [{label: "A1", lamp: "", kind: "again", at: 9, text: "8"}])[""].A1.repeats.length`, `1`},
		{"walk", `merge({lamps: [""], unit: "lx", cells: {"": {A1: {text: "7", at: 4, seen: 4}}}}, [{label: "A1", lamp: "", kind: "read", seen: 4, at: 9, text: "8"}])[""].A1.seen`, `9`},
		{"walk", `isRead(m.merge({lamps: [""], unit: "lx", cells: {"": {A1: {text: "7", at: 4, seen: 4}}}}, [{label: "A1", lamp: "", kind: "reread", of: 4, at: 9}])[""].A1)`, `false`},
		{"walk", `merge({lamps: [""], unit: "lx", cells: {"": {A1: {text: "7", at: 4, seen: 4}}}}, [{label: "A1", lamp: "", kind: "undo", at: 9, prior: null}])[""].A1 === undefined`, `true`},
	}
	for _, test := range tests {
		script := `import("/static/` + test.module + `.js").then(m => JSON.stringify(m.` + test.call + `))`
		got := browsertest.Get(t, d.tab, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
		if got != test.want {
			t.Errorf("%s gives %s, expected %s", test.call, got, test.want)
		}
	}
	d.clean(s.address)
}
