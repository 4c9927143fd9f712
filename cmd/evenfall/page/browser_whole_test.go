package page_test

import (
	"bufio"
	"os"
	"os/exec"
	"strings"
	"testing"

	"evenfall/cmd/evenfall/browsertest"
)

// served starts a process of its own that serves a folder, at an address or, where
// that is empty, at any; it is killed, never asked to stop.
func served(t *testing.T, folder, address string) (at string, kill func()) {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), "EVENFALL_TEST_SERVE="+folder, "EVENFALL_TEST_ADDRESS="+address)
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { command.Process.Kill() })
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimPrefix(strings.TrimSpace(line), "http://"), func() {
		command.Process.Kill()
		command.Wait()
	}
}

// From an empty folder to the report: a survey is begun, the server is killed in
// the middle of it, readings go on meanwhile and are sent when it is back, the map
// is looked at, and the report of the folder opens from it.
func TestBrowserFromNewToReport(t *testing.T) {
	t.Parallel()
	s := &stage{t: t, folder: t.TempDir()}
	at, kill := served(t, s.folder, "")
	s.address = at
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url())
	d.button("A surface: is it even?")
	d.wait(`document.querySelectorAll(".kinds input").length > 3`)
	d.fill("new-title", "table")
	d.fill("new-width", "1.8")
	d.fill("new-height", "0.9")
	d.button("3 × 3")
	d.button("Begin at A1")
	d.at("A1")
	levels := map[string]string{}
	read := func(level string) {
		levels[d.place()] = level
		d.typed(level)
	}
	for _, level := range []string{"702", "731", "744"} {
		read(level)
	}
	d.saved()
	kill()
	for _, level := range []string{"748", "739"} {
		read(level)
	}
	d.shows("header", "2 waiting: no answer since")
	browsertest.Screenshot(t, d.tab, "whole-1-waiting")
	served(t, s.folder, at)
	d.saved()
	for len(s.levels("table.csv", "E (lx)", "")) < 9 {
		read("72" + string(rune('1'+len(levels))))
		d.saved()
	}
	for label, level := range s.levels("table.csv", "E (lx)", "") {
		if levels[label] != level {
			t.Errorf("%s: %q is on the disk, %q was typed", label, level, levels[label])
		}
	}
	d.button("Result")
	d.shows(".verdict", "apart")
	browsertest.Screenshot(t, d.tab, "whole-2-map")
	d.wait(`document.querySelector(".result")?.checkVisibility()`)
	d.button("Hand over the report")
	d.wait(`location.pathname === "/report" && document.readyState === "complete"`)
	d.wait(`document.querySelector("h1")?.textContent.includes("table") && document.body.textContent.includes("744")`)
	browsertest.Screenshot(t, d.tab, "whole-3-report")
}
