package page_test

import (
	"strings"
	"testing"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
)

// What looks like a script in a surface's name, a label, a note, a lamp, a file's name or
// the name of a device is shown as it is typed, in every view, and never run.
func TestBrowserRunsNoNames(t *testing.T) {
	t.Parallel()
	const attack = `<img src=x onerror=hacked=1>`
	s := serve(t, page.Options{})
	const head = "# surface: " + attack + "</script><script>hacked=1</script>\n# for: screen\n# date: 2026-03-04\n"
	const rows = "label,x (m),y (m),E (lx),note,lamp\n" + attack + ",0,0,700," + attack + ",\nb,1,0,710,,\nc,0,1,720,,\nd,1,1,77,,\nb,1,0,300,," + attack + "\n"
	s.write("cloth.csv", head+rows)
	s.write("day2.csv", head[:len(head)-2]+"5\n"+rows)
	s.write(`odd"onload=hacked=1.txt.csv`, "label,E (lx)\n"+attack+",seven\n")
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.before(`window.hacked = 0;`)
	d.open(s.url())
	d.shows(".surveys", attack)
	for _, view := range []struct{ route, selector, shows string }{
		{"#/", ".surveys", attack},
		{"#/s/cloth.csv", "#title", attack},
		{"#/s/cloth.csv/map", ".result", "apart"},
		{"#/devices/cloth.csv", ".devices", "this device"},
		{"#/match", "main", "2026-03-05"},
		{"report", "body", attack},
		{"report?theme=night&back=" + attack, "body", attack},
		{"join?token=" + attack, ".surveys", attack},
	} {
		if strings.HasPrefix(view.route, "#") {
			d.turn(view.route)
		} else {
			d.open(s.url() + view.route)
		}
		d.shows(view.selector, view.shows)
		if view.selector == ".devices" {
			d.button("Rename")
			d.keys(attack + "\r")
			d.shows(".devices", attack)
		}
		if n := eval[int](d, `window.hacked + document.querySelectorAll("main img[src=x], main script, nav img[src=x]").length`); n > 0 {
			t.Errorf("%s runs what people typed", view.route)
		}
	}
	d.clean(s.address)
}
