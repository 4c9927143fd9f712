package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

func read(t *testing.T, s *site, name string) string {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(s.folder, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(content)
}

func write(t *testing.T, s *site, name, content string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(s.folder, name), []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
}

func now() int64 { return time.Now().UnixMilli() }

// The walk of a whole survey: what to read next, the reference in between, and at
// the end the verdict and the words that the command has for the file.
func TestWholeSurvey(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	var state State
	s.get("/api/surveys/"+name, &state)
	if state.WhyNoResult != "Nothing is read yet." || state.Result != nil || len(state.Places) != 45 || state.Quick != 9 || !state.Editable {
		t.Fatalf("%+v", state)
	}
	start := now() - 3_600_000
	reads, again, since, helped := 0, 0, 0, 0
	for step := int64(0); reads < 45; step++ {
		i := slices.IndexFunc(state.Places, func(p statePlace) bool { return state.Cells[""][p.Label] == nil })
		e := Entry{ID: "x", At: start + step*60_000, Kind: kindRead}
		if since >= state.Reference.Every {
			i = slices.IndexFunc(state.Places, func(p statePlace) bool { return p.Label == state.Reference.Label })
			e.Kind = kindAgain
			again++
		} else {
			reads++
		}
		p := state.Places[i]
		if since++; p.Label == state.Reference.Label {
			since = 0
		}
		if e.Label, e.Text = p.Label, steep(*p.X, *p.Y); reads <= 9 && state.Helpful != "" {
			t.Errorf("step %d: %s would help before the quick nine are read", step, state.Helpful)
		}
		out := s.send(name, e)
		if out.Entries[0].Outcome != stored {
			t.Fatalf("%+v", out.Entries)
		}
		if state = out.State; state.Helpful != "" {
			helped++
			if state.Cells[""][state.Helpful] != nil {
				t.Errorf("step %d: %s would help, and is read", step, state.Helpful)
			}
		}
	}
	if again != 4 || helped == 0 || state.Helpful != "" {
		t.Errorf("the reference is due %d times, a place would help %d times, at the end %q", again, helped, state.Helpful)
	}
	if p := state.Progress[""]; p.Read != 45 || p.Of != 45 {
		t.Errorf("progress %+v", p)
	}
	sameAsCommand(t, s, name, state)
	if len(state.Maps) != 1 || state.Maps[0].Alt == "" {
		t.Fatalf("maps %+v", state.Maps)
	}
	status, body := s.ask("GET", state.Maps[0].URL, "")
	if status != 200 || !strings.Contains(body, "<svg") || !strings.Contains(body, "<desc") {
		t.Errorf("map: %d %.100s", status, body)
	}
	if status, body := s.ask("GET", "/api/surveys/"+name+"/picture.png?kind=level", ""); status != 200 || !strings.HasPrefix(body, "\x89PNG") {
		t.Errorf("picture: %d", status)
	}
	if status, _ := s.ask("GET", "/api/surveys/"+name+"/map.svg?kind=duv", ""); status != 404 {
		t.Errorf("map of no color: %d", status)
	}
	if status, body := s.ask("GET", "/files/"+name, ""); status != 200 || body != read(t, s, name) {
		t.Errorf("file: %d", status)
	}
}

// steep is a cloth lit from camera left.
func steep(x, y float64) string { return fmt.Sprintf("%.0f", 1200-200*x+40*y) }

// sameAsCommand holds a state to what evenfall surface says of the file.
func sameAsCommand(t *testing.T, s *site, name string, state State) {
	t.Helper()
	v, err := survey.Read([]survey.Input{{Name: name, Reader: strings.NewReader(read(t, s, name))}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := evenness.Analyze(v)
	if err != nil {
		t.Fatal(err)
	}
	want, _ := json.Marshal(answers.Describe(r))
	got, _ := json.Marshal(state.Result)
	var a, b any
	json.Unmarshal(want, &a)
	json.Unmarshal(got, &b)
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("result -command +page\n%s", diff)
	}
	// The lines are those that the command prints, in its order, about its map, but for options.
	said := answers.Surface(r, document.Words{}, false)
	answers.WithSteps(said, state.ToDo)
	printed := document.Terminal{Width: 10_000, Unicode: true}.Text(said)
	printed = regexp.MustCompile(` \([^()]*--[a-z][^()]*\)`).ReplaceAllString(printed, "")
	rest := printed
	for i, l := range state.ResultWords {
		line := strings.TrimSpace(fmt.Sprintf("%-11s%s", l.Key, l.Text)) + "\n"
		before, after, found := strings.Cut(rest, line)
		if !found || strings.Count(before, "\n") > 0 && !strings.Contains(before, "camera left") && strings.TrimSpace(before) != "" {
			t.Errorf("line %d: page %+v is not next in the command's %q", i, l, rest)
			break
		}
		rest = after
	}
	if len(state.ResultWords) < 3 || strings.TrimSpace(rest) != "" && !strings.Contains(rest, "camera left") {
		t.Errorf("%d lines on the page, the command has\n%s", len(state.ResultWords), printed)
	}
}

func TestDoubt(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	var entries []Entry
	for i, label := range []string{"A2", "A5", "A8", "C8", "C5", "C2", "E2", "E5", "E8"} {
		entries = append(entries, Entry{Label: label, At: now() - 60_000 + int64(i), Text: []string{"742", "765", "1105", "1180", "842", "810", "655", "701", "96"}[i], Kind: kindRead})
	}
	if out := s.send(name, entries[:5]...); len(out.State.Questions) != 0 || out.State.Result == nil {
		t.Errorf("first readings: %+v", out.State.Questions)
	}
	out := s.send(name, entries...)
	if len(out.State.Questions) != 1 {
		t.Fatalf("%+v", out.State.Questions)
	}
	q := out.State.Questions[0]
	var titles []string
	for _, a := range q.Answers {
		titles = append(titles, a.Title)
	}
	if got := strings.Join(titles, ", "); q.Label != "E8" || got != "It was 96 fc, It was 960, Right as read, Read again" || !strings.HasPrefix(q.Text, "96 lx is saved as read. About ") {
		t.Errorf("%+v", q)
	}
	sameAsCommand(t, s, name, out.State)
	// One tap answers it, and the command obeys the answer.
	for i, a := range q.Answers {
		out = s.send(name, Entry{Label: "E8", At: now() + int64(i), Kind: a.Kind, Of: a.Of, Was: a.Was, Text: a.Text})
		if out.Entries[0].Outcome != stored || len(out.State.Questions) != 0 {
			t.Errorf("%s: %+v, still asked %+v", a.Title, out.Entries, out.State.Questions)
		}
		sameAsCommand(t, s, name, out.State)
		back := s.send(name, Entry{Label: "E8", At: now(), Kind: kindUndo, Undo: out.Entries[0].Undo})
		if back.Entries[0].Outcome != stored || len(back.State.Questions) != 1 {
			t.Errorf("%s undone: %+v, asked %+v", a.Title, back.Entries, back.State.Questions)
		}
	}
}

func TestTwoDevices(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	var state State
	s.get("/api/surveys/"+name, &state)
	base := now() - 100_000
	var wait sync.WaitGroup
	outcomes := make([][]Outcome, 2)
	for device := range 2 {
		wait.Go(func() {
			for i, p := range state.Places {
				// The second device is later with each place by half a second.
				e := Entry{ID: fmt.Sprint(device, "-", i), Label: p.Label, At: base + int64(1000*i+500*device), Text: fmt.Sprint(700 + 10*device), Kind: kindRead}
				outcomes[device] = append(outcomes[device], s.send(name, e, e).Entries...)
			}
		})
	}
	wait.Wait()
	s.get("/api/surveys/"+name, &state)
	// 700 and 710 lx are within twice the repeatability: both count, and nothing is lost.
	for _, p := range state.Places {
		if c := state.Cells[""][p.Label]; c == nil || c.Text != "700" || len(c.Repeats) != 1 || c.Repeats[0].Text != "710" {
			t.Errorf("%s is %+v", p.Label, c)
		}
	}
	for device := range 2 {
		for i, o := range outcomes[device] {
			if want := []string{stored, same}[i%2]; o.Outcome != want {
				t.Errorf("device %d, entry %d: %+v", device, i, o)
			}
		}
	}
	// What was acknowledged as stored is in a file that starts anew with the same.
	s.stop()
	again := serve(t, s.folder, Options{})
	var after State
	again.get("/api/surveys/"+name, &after)
	if diff := cmp.Diff(state.Cells, after.Cells, cmp.AllowUnexported(stateCell{})); diff != "" {
		t.Errorf("after a restart\n%s", diff)
	}
	if after.Revision <= state.Revision {
		t.Errorf("revision %d after a restart, was %d", after.Revision, state.Revision)
	}
}

func TestChangedOutside(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	s.send(name, Entry{Label: "A1", At: now() - 5000, Text: "742", Kind: kindRead})
	mine := read(t, s, name)

	// A version that can be filled in counts, and the page's is kept.
	theirs := strings.Replace(mine, "\nA2,", "\nA2,0.8,2.16,,800,theirs\n# was: A2,", 1)
	write(t, s, name, theirs)
	out := s.send(name, Entry{Label: "A3", At: now() - 4000, Text: "760", Kind: kindRead})
	if len(out.State.Notices) != 1 || !strings.Contains(out.State.Notices[0].Text, "Theirs counts now; the page's own version is kept as kept/green-cloth-page-") {
		t.Fatalf("notices %+v", out.State.Notices)
	}
	kept := strings.TrimSuffix(out.State.Notices[0].Text[strings.Index(out.State.Notices[0].Text, "kept/"):], ".")
	if got := read(t, s, kept); got != mine {
		t.Errorf("kept %q, want %q", got, mine)
	}
	if c := out.State.Cells[""]; c["A2"].Text != "800" || c["A3"].Text != "760" || c["A1"].Text != "742" {
		t.Errorf("cells %+v", c)
	}
	if !strings.Contains(read(t, s, name), "# was: A2,") {
		t.Error("their remark is gone")
	}
	if status, _ := s.ask("POST", fmt.Sprintf("/api/surveys/%s/notices/%d/dismiss", name, out.State.Notices[0].ID), "{}"); status != 200 {
		t.Errorf("dismiss: %d", status)
	}

	// One that cannot be filled in is kept aside, and the page's goes on.
	before := read(t, s, name)
	for _, broken := range []string{"lx,0.5,1.5\n1,700,710\n", "label,x (m),y (m),E (lx)\nA1,1,1,bright\n", "P1,P2\n", "", "# width: 1\n# height: 1\nlabel,E (lx)\nQ7,5\n"} {
		write(t, s, name, broken)
		var state State
		s.get("/api/surveys/"+name, &state)
		if len(state.Notices) == 0 {
			t.Fatalf("%q: no notice", broken)
		}
		notice := state.Notices[len(state.Notices)-1].Text
		if !strings.Contains(notice, "the page's own version goes on") || read(t, s, name) != before || state.Cells[""]["A3"].Text != "760" {
			t.Errorf("%q: %q\n%s", broken, notice, read(t, s, name))
		}
		kept := notice[strings.Index(notice, "kept/") : strings.Index(notice, ".csv;")+4]
		if got := read(t, s, kept); got != broken {
			t.Errorf("kept %q, want %q", got, broken)
		}
	}

	// Removed, it is written again with the next entry.
	os.Remove(filepath.Join(s.folder, name))
	out = s.send(name, Entry{Label: "A4", At: now(), Text: "770", Kind: kindRead})
	if c := out.State.Cells[""]; c["A4"].Text != "770" || c["A1"].Text != "742" || !strings.Contains(read(t, s, name), "770") {
		t.Errorf("after it was removed: %+v", c)
	}
	// No kept version counts as a survey.
	var folder struct{ Surveys []listed }
	s.get("/api/folder", &folder)
	if len(folder.Surveys) != 1 || folder.Surveys[0].Readings != 4 {
		t.Errorf("folder %+v", folder.Surveys)
	}
}

// A spreadsheet program that had the file open since before a restart does not
// take readings away with its old version.
func TestOldVersionAfterRestart(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	old := read(t, s, name)
	s.send(name, Entry{Label: "A1", At: now(), Text: "742", Kind: kindRead})
	mine := read(t, s, name)
	s.stop()
	s = serve(t, s.folder, Options{})
	var state State
	s.get("/api/surveys/"+name, &state)
	write(t, s, name, old)
	s.get("/api/surveys/"+name, &state)
	if len(state.Notices) != 1 || !strings.Contains(state.Notices[0].Text, "kept/green-cloth-page-") {
		t.Fatalf("notices %+v", state.Notices)
	}
	files, _ := os.ReadDir(filepath.Join(s.folder, keptFolder))
	if len(files) != 1 || read(t, s, keptFolder+"/"+files[0].Name()) != mine {
		t.Errorf("kept %v", files)
	}
	// One that adds to what was read needs no copy.
	write(t, s, name, strings.Replace(mine, "\nA2,", "\nA2,0.8,2.16,,800,\n# A2,", 1))
	s.get("/api/surveys/"+name, &state)
	if files, _ := os.ReadDir(filepath.Join(s.folder, keptFolder)); len(files) != 1 || len(state.Notices) != 2 || state.Cells[""]["A1"].Text != "742" {
		t.Errorf("%d kept, %+v", len(files), state.Notices)
	}
}

// A program that writes a file in pieces is waited for.
func TestHalfWrittenFile(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	s.send(name, Entry{Label: "A1", At: now(), Text: "742", Kind: kindRead})
	theirs := strings.Replace(read(t, s, name), "\nA2,", "\nA2,0.8,2.16,,800,\n# A2,", 1)
	file, err := os.Create(filepath.Join(s.folder, name))
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan bool)
	go func() {
		defer close(done)
		for part := range slices.Chunk([]byte(theirs), len(theirs)/6+1) {
			file.Write(part)
			time.Sleep(settleTime / 3)
		}
		file.Close()
	}()
	out := s.send(name, Entry{Label: "A3", At: now(), Text: "760", Kind: kindRead})
	<-done
	if c := out.State.Cells[""]; c["A2"] == nil || c["A2"].Text != "800" || c["A3"].Text != "760" || len(out.State.Notices) != 1 {
		t.Errorf("%+v %+v", out.State.Notices, c)
	}
	if files, _ := os.ReadDir(filepath.Join(s.folder, keptFolder)); len(files) != 1 {
		t.Errorf("%d versions kept, want the page's alone", len(files))
	}
}

// watch follows the events of a survey until the test ends.
func (s *site) watch(name string) <-chan int64 {
	s.t.Helper()
	answer, err := http.Get(s.address + "/api/surveys/" + name + "/events")
	if err != nil {
		s.t.Fatal(err)
	}
	if answer.StatusCode != 200 || answer.Header.Get("Content-Type") != "text/event-stream" {
		s.t.Fatalf("events: %s", answer.Status)
	}
	s.t.Cleanup(func() { answer.Body.Close() })
	revisions := make(chan int64, 1000)
	go func() {
		defer close(revisions)
		for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
			var data struct{ Revision int64 }
			if text, ok := strings.CutPrefix(lines.Text(), "data: "); ok && json.Unmarshal([]byte(text), &data) == nil {
				revisions <- data.Revision
			}
		}
	}()
	return revisions
}

// waitFor waits until a device was notified of a revision.
func waitFor(t *testing.T, revisions <-chan int64, at int64) {
	t.Helper()
	timeout := time.After(10 * time.Second)
	for {
		select {
		case r, ok := <-revisions:
			if !ok || r > at {
				t.Fatalf("notified of %d (%v), want %d", r, ok, at)
			}
			if r == at {
				return
			}
		case <-timeout:
			t.Fatalf("not notified of revision %d", at)
		}
	}
}

func TestTwentyWatch(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	var watchers []<-chan int64
	for range 20 {
		watchers = append(watchers, s.watch(name))
	}
	var out sent
	for i := range 20 {
		out = s.send(name, Entry{Label: "A1", At: now() - 1000 + int64(i), Text: fmt.Sprint(700 + i), Kind: kindRead})
	}
	for _, w := range watchers {
		waitFor(t, w, out.Revision)
	}
	if out.State.Watchers != 20 {
		t.Errorf("%d watchers", out.State.Watchers)
	}
	// What somebody else writes is notified as well.
	write(t, s, name, strings.Replace(read(t, s, name), "\nA2,", "\nA2,0.8,2.16,,800,\n# A2,", 1))
	select {
	case r := <-watchers[0]:
		if r <= out.Revision {
			t.Errorf("revision %d after %d", r, out.Revision)
		}
	case <-time.After(10 * time.Second):
		t.Error("not notified of a change outside")
	}
}

func TestNewSurveys(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	status, body := s.ask("POST", "/api/surveys", `{"title":"Потолок, день 2","kind":"cyc","width_m":3.2,"height_m":2,"columns":4,"rows":3,"edges":true,"unit":"f","tolerance":"±1/4 stop","color":true,
		"repeatability_percent":1.5,"area":[0.2,0.2,3,1.8],"reference":"b2","iso":400,"shutter":"1/50","lamps":["key  left","key right",""],"order":"nine"}`)
	if status != 201 {
		t.Fatalf("%d %s", status, body)
	}
	const name = "потолок-день-2.csv"
	var state State
	s.get("/api/surveys/"+url.PathEscape(name), &state)
	if state.Title != "Потолок, день 2" || state.Unit != "f" || state.Tolerance != "±0.25 stop" || !cmp.Equal(state.Lamps, []string{"", "key left", "key right"}) ||
		state.Reference.Label != "B2" || *state.Area != [4]float64{0.2, 0.2, 3, 1.8} || !state.Color || state.Progress["key left"].Of != 9 || *state.Places[0].X != 0 || *state.Places[0].Y != 2 {
		t.Errorf("%+v", state)
	}
	for i, e := range []Entry{{Label: "B3", Text: "5.6 7/10"}, {Label: "B2", Text: "8", CCT: "5600"}, {Label: "B2", Text: "4", Lamp: "key left"}} {
		e.At, e.Kind = now()-100+int64(i), kindRead
		if out := s.send(name, e); out.Entries[0].Outcome != stored {
			t.Errorf("%+v", out.Entries)
		} else {
			state = out.State
		}
	}
	sameAsCommand(t, s, name, state)
	status, body = s.ask("POST", "/api/surveys", strings.Replace(nineByFive, `{`, `{"name":"`+name+`",`, 1))
	if status != 409 || code(body) != "exists" {
		t.Errorf("over a file that is there: %d %s", status, body)
	}
	for change, want := range map[string]string{
		`"title":"Green cloth"|"title":" "`:      "expected one such as",
		`"title":"Green cloth"|"title":"=1+1"`:   "expected a name that starts with a letter",
		`"kind":"screen"|"kind":"wall"`:          "expected one of screen",
		`"width_m":4.8|"width_m":0`:              "expected a width and a height above zero",
		`"columns":9|"columns":0`:                "expected at least 2 and at most 2500",
		`"unit":"lx"|"unit":"m"`:                 "expected lx, fc or f",
		`"unit":"lx"|"tolerance":"half"`:         "expected a tolerance in stops",
		`"unit":"lx"|"area":[0,0,9,9]`:           "expected one within the surface",
		`"unit":"lx"|"reference":"J1"`:           "expected a place from A1 to E9",
		`"unit":"lx"|"shutter":"x"`:              "expected",
		`"unit":"lx"|"iso":-1`:                   "expected an ISO speed",
		`"unit":"lx"|"repeatability_percent":90`: "expected 0 to 50",
		`"unit":"lx"|"lamps":["a","A"]`:          "expected each once",
		`"unit":"lx"|"lamps":["a\nb\u0000"]`:     "expected a name of plain characters",
		`"unit":"lx"|"order":"spiral"`:           "expected nine or snake",
		`"unit":"lx"|"name":"lpt1"`:              "no system keeps for a device",
	} {
		from, to, _ := strings.Cut(change, "|")
		status, body := s.ask("POST", "/api/surveys", strings.Replace(nineByFive, from, to, 1))
		if status != 400 || !strings.Contains(body, want) {
			t.Errorf("%s: %d %s, want %q", to, status, body, want)
		}
	}
}

// The list of the folder never fails for one bad file.
func TestFolder(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	name := s.begin()
	write(t, s, "grid.csv", "lx,0.5,1.5,2.5\n1,700,710,705\n0.5,690,705,703\n")
	write(t, s, "bad.csv", "label,x (m),y (m),E (lx)\nA1,1,1,bright\n")
	write(t, s, "empty.csv", "")
	write(t, s, "points.csv", "x (m),y (m),E (fc)\n0.5,1,70\n1.5,1,71\n2.7,1.2,72\n")
	write(t, s, "gels.csv", "name,kelvin\n")
	if err := os.Mkdir(filepath.Join(s.folder, "folder.csv"), 0o777); err != nil {
		t.Fatal(err)
	}
	var folder struct {
		Title    string
		Surveys  []listed
		Problems []fileTrouble
		Now      int64
	}
	s.get("/api/folder", &folder)
	got := map[string]listed{}
	for _, l := range folder.Surveys {
		got[l.Name] = l
	}
	if len(got) != 3 || !got[name].Editable || got["grid.csv"].Editable || got["grid.csv"].Verdict != "pass" || got["grid.csv"].Columns != 3 || !got["points.csv"].Editable ||
		!strings.Contains(got["grid.csv"].WhyNot, "grid of numbers") || folder.Title != filepath.Base(s.folder) || folder.Now < now()-5000 {
		t.Errorf("%+v", folder)
	}
	var broken []string
	for _, p := range folder.Problems {
		broken = append(broken, p.File)
	}
	slices.Sort(broken)
	if !cmp.Equal(broken, []string{"bad.csv", "empty.csv"}) {
		t.Errorf("problems %+v", folder.Problems)
	}
	for _, p := range folder.Problems {
		if p.File == "bad.csv" && !strings.HasPrefix(p.Text, `Line 2, column 4: found "bright", expected a level such as`) || strings.Contains(p.Text, p.File) {
			t.Errorf("%+v", p)
		}
	}
	if got["grid.csv"].WhyNot != "A grid of numbers, expected a row a reading." {
		t.Errorf("%q", got["grid.csv"].WhyNot)
	}
	// A grid is looked at, not filled in; scattered points are filled in.
	var state State
	s.get("/api/surveys/grid.csv", &state)
	if state.Editable || len(state.Places) != 6 || state.Cells[""]["A1"].Shown != "700 lx" || state.Result == nil {
		t.Errorf("%+v", state)
	}
	if status, body := s.ask("POST", "/api/surveys/grid.csv/entries", `{"entries":[]}`); status != 409 || code(body) != "not_editable" {
		t.Errorf("entries to a grid: %d %s", status, body)
	}
	out := s.send("points.csv", Entry{Label: "(2.70, 1.20)", At: now(), Text: "73", Kind: kindRead}, Entry{Label: "(0.500, 1.00)", At: now(), Text: "74", Kind: kindAgain})
	if out.Entries[0].Outcome != stored || out.Entries[1].Outcome != stored || !strings.Contains(read(t, s, "points.csv"), "\n0.5,1,74,2") {
		t.Errorf("%+v\n%s", out.Entries, read(t, s, "points.csv"))
	}
	sameAsCommand(t, s, "points.csv", out.State)
}
