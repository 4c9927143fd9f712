package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"evenfall/photometry/match"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/report"
)

const twoMarks = `# target: 4:1
# tolerance: 1/3 stop
mark,role,E (lx)
puppet,key,800
puppet,fill,200
witch,key,800
witch,fill,400
`

// The table of lights at marks is listed as a survey is, and its state has the words of
// the command.
func TestRatioOfTheFolder(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	write(t, s, "ratio.csv", twoMarks)
	var folder struct {
		Surveys []listed
		Matches []pair
	}
	s.get("/api/folder", &folder)
	if l := folder.Surveys; len(l) != 1 || l[0].Lights != 2 || l[0].Places != 2 || l[0].Readings != 4 || l[0].Verdict != "fail" || !l[0].Editable || len(folder.Matches) != 0 {
		t.Errorf("%+v", folder)
	}
	var out State
	s.get("/api/surveys/ratio.csv", &out)
	if w := out.ResultWords; len(w) == 0 || w[0].Key != "FAIL" || !strings.Contains(w[0].Text, "key to fill 2.0:1 to 4.0:1") {
		t.Errorf("%+v", w)
	}
	if j := out.Judgments; len(j) != 1 || j[0].Word != saysFail || out.Ruler == nil || out.Ruler.Ticks[0].Stops != 2 || out.Ruler.Ticks[1].Stands != "under" || len(out.Tables) != 1 {
		t.Errorf("%+v %+v %+v", out.Judgments, out.Ruler, out.Tables)
	}
	write(t, s, "ratio-2.csv", strings.Replace(twoMarks, "# target", "# date: 2026-03-05\n# target", 1))
	s.get("/api/folder", &folder)
	if len(folder.Surveys) != 2 || len(folder.Matches) != 1 || folder.Matches[0].After != "ratio-2.csv" {
		t.Errorf("%+v", folder)
	}
	var matched compared
	if s.get("/api/match?before=ratio.csv&after=ratio-2.csv", &matched); len(matched.Words) == 0 || matched.Words[0].Key != "PASS" {
		t.Errorf("%+v", matched.Words)
	}
	s = serve(t, t.TempDir(), Options{})
	write(t, s, "ratio.csv", "mark,role,E (lx)\npuppet,key,bright\n")
	if status, body := s.ask("GET", "/api/folder", ""); status != 200 || !strings.Contains(body, "bright") {
		t.Errorf("bad table: %d %s", status, body)
	}
}

func TestMatchOfTwoDays(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	day := func(date string, factor float64) string {
		var b strings.Builder
		fmt.Fprintf(&b, "# surface: green cloth\n# date: %s\n# width: 4.8\n# height: 2.4\nlabel,E (lx)\n", date)
		for _, label := range spatial.Walk(3, 3) {
			c, row, _ := spatial.ParseGridLabel(label)
			fmt.Fprintf(&b, "%s,%.0f\n", label, factor*(900+20*float64(c)-10*float64(row)))
		}
		return b.String()
	}
	write(t, s, "monday.csv", day("2026-03-02", 1))
	write(t, s, "tuesday.csv", day("2026-03-03", 0.5))
	var folder struct{ Matches []pair }
	s.get("/api/folder", &folder)
	if want := []pair{{"green cloth, 2026-03-02 to 2026-03-03", "monday.csv", "tuesday.csv"}}; !cmp.Equal(folder.Matches, want) {
		t.Fatalf("%+v", folder.Matches)
	}
	var out struct {
		Result map[string]any
		Words  []document.KeyText
	}
	s.get("/api/match?before=monday.csv&after=tuesday.csv", &out)
	if offset, _ := out.Result["offset_stops"].(float64); offset > -0.99 || offset < -1.01 {
		t.Errorf("half the light is %v stops", out.Result["offset_stops"])
	}
	// The words are those that the command prints.
	r, err := match.Read(match.Files{Before: []survey.Input{{Name: "monday.csv", Reader: strings.NewReader(day("2026-03-02", 1))}},
		After: []survey.Input{{Name: "tuesday.csv", Reader: strings.NewReader(day("2026-03-03", 0.5))}}}, match.Options{})
	if err != nil {
		t.Fatal(err)
	}
	printed := document.Terminal{Width: 10_000, Unicode: true}.Text(answers.Match(r, document.Words{}, false))
	for _, l := range out.Words {
		if !strings.Contains(printed, strings.Join(strings.Fields(l.Text), " ")) {
			t.Errorf("the command does not say %q", l.Text)
		}
	}
	want, _ := json.Marshal(answers.Describe(r))
	var result map[string]any
	json.Unmarshal(want, &result)
	if diff := cmp.Diff(result, out.Result); diff != "" {
		t.Error(diff)
	}
	for query, want := range map[string]int{"before=monday.csv&after=monday.csv": 400, "before=monday.csv&after=../x.csv": 404, "": 400, "before=a.csv&after=b.csv": 404} {
		if status, body := s.ask("GET", "/api/match?"+query, ""); status != want {
			t.Errorf("%q: %d %s", query, status, body)
		}
	}
}

// The report is the one that the command writes, and may load nothing.
func TestReportOfTheFolder(t *testing.T) {
	s := serve(t, t.TempDir(), Options{})
	if status, body := s.ask("GET", "/report", ""); status != 404 || !strings.Contains(body, "Begin a survey first") {
		t.Errorf("empty folder: %d %s", status, body)
	}
	name := s.begin()
	for i, label := range []string{"A2", "A5", "A8", "C8", "C5"} {
		s.send(name, Entry{Label: label, At: now() - 1000 + int64(i), Text: fmt.Sprint(700 + 100*i), Kind: kindRead})
	}
	var folder struct{ Report bool }
	if s.get("/api/folder", &folder); !folder.Report {
		t.Error("the folder has no report")
	}
	answer, err := http.Get(s.address + "/report")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	got, _ := io.ReadAll(answer.Body)
	if answer.StatusCode != 200 || answer.Header.Get("Content-Security-Policy") != reportPolicy {
		t.Errorf("%s %v", answer.Status, answer.Header)
	}
	r, err := report.Read(os.DirFS(s.folder), report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var want bytes.Buffer
	if err := r.HTML(&want, document.Words{}); err != nil {
		t.Fatal(err)
	}
	// The page's own is the way back alone.
	from, to := bytes.Index(got, []byte("<body>"))+len("<body>"), bytes.Index(got, []byte("</nav>"))+len("</nav>")
	bar := string(got[from:to])
	if rest := slices.Concat(got[:from], got[to:]); !bytes.Equal(rest, want.Bytes()) || !strings.Contains(string(got), "Green cloth") || !strings.Contains(bar, `href="/"`) {
		t.Errorf("%d bytes with the bar %s, the command writes %d", len(got), bar, want.Len())
	}
}
