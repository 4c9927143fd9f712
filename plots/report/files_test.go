package report

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

func TestPhotos(t *testing.T) {
	folder := theatre()
	folder["huge.jpg"] = &fstest.MapFile{Data: make([]byte, mostPhoto+1)}
	folder["raw.heic"] = &fstest.MapFile{Data: []byte("\x00\x00\x00\x18ftypheic")}
	r := read(t, folder, Options{})
	told := map[string]string{}
	for _, p := range r.Photos {
		told[p.File] = p.NotShown
	}
	for name, want := range map[string]string{"stage.png": "", "huge.jpg": "up to 6.0 MB", "raw.heic": "not every browser", "left-lamp.jpg": "it is no picture"} {
		if got, ok := told[name]; !ok || want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	page := pageOf(t, r)
	if !strings.Contains(page, `<img src="data:image/png;base64,`) || !strings.Contains(page, `alt="Photo of the set: stage"`) {
		t.Error("the photo is not in the page")
	}
}

// A hand-over holds the page and the files, is the same every time, and follows
// no links.
func TestZip(t *testing.T) {
	folder := theatre()
	folder["secret.csv"] = &fstest.MapFile{Data: []byte("cloth.csv"), Mode: fs.ModeSymlink}
	r := read(t, folder, Options{Skip: []string{"words.txt"}})
	var first, second bytes.Buffer
	for _, b := range []*bytes.Buffer{&first, &second} {
		if err := r.Zip(b, folder, document.Words{}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("two hand-overs differ")
	}
	z, err := zip.NewReader(bytes.NewReader(first.Bytes()), int64(first.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name != PageName && !bytes.Equal(content, folder[f.Name].Data) {
			t.Errorf("%s differs", f.Name)
		}
	}
	if want := "report.html along.csv broken.xlsx cameras.csv cloth-more.csv cloth-old.csv cloth.csv gels.csv lamps.csv left-lamp.jpg ratio.csv setup.csv stage.png"; strings.Join(names, " ") != want {
		t.Errorf("files %v\nwant %v", names, want)
	}
	folder["words.txt"].Data = []byte("changed")
	folder["cloth.csv"].Data = append(folder["cloth.csv"].Data, '\n')
	if err := r.Zip(io.Discard, folder, document.Words{}); err == nil || !strings.Contains(err.Error(), "cloth.csv changed") {
		t.Errorf("a file that changed meanwhile: %v", err)
	}
}

func TestVeryManyReadings(t *testing.T) {
	var b strings.Builder
	b.WriteString("x (m),y (m),E (lx)\n")
	for i := range 90 {
		for k := range 60 {
			fmt.Fprintf(&b, "%g,%g,%d\n", float64(i)*0.1, float64(k)*0.1, 800+(7*i+3*k)%20)
		}
	}
	r := read(t, folderOf(map[string]string{"wall.csv": b.String()}), Options{})
	if n := len(r.Surfaces[0].Readings); n != 5400 {
		t.Errorf("%d readings in the result", n)
	}
	page := pageOf(t, r)
	if !strings.Contains(strings.ReplaceAll(page, "\u00a0", " "), "5400 places were read; the first 5000 are listed here, and all of them stand in wall.csv.") {
		t.Error("what is left out is not told")
	}
}

func TestNothingToReport(t *testing.T) {
	if _, err := Read(folderOf(nil), Options{}); !errors.Is(err, ErrEmpty) {
		t.Errorf("an empty folder: %v", err)
	}
	if _, err := Read(folderOf(map[string]string{"a.txt": "x", "stage.jpg": ""}), Options{}); !errors.Is(err, ErrEmpty) {
		t.Errorf("a folder without tables: %v", err)
	}
	if _, err := Read(folderOf(map[string]string{"lamps.csv": "name,kind\n", "lamps.xlsx": ""}), Options{}); err == nil || !strings.Contains(err.Error(), "both claim to be the table “lamps”") {
		t.Errorf("two lamp tables: %v", err)
	}
	if _, err := Read(folderOf(map[string]string{"lamps.csv": "name,kind\nkey,sun\n"}), Options{}); err == nil || !strings.Contains(err.Error(), "a kind of lamp") {
		t.Errorf("nothing but a broken table: %v", err)
	}
}

// One broken file of each kind is told and stops nothing else.
func TestProblemsOfSingleFiles(t *testing.T) {
	for name, content := range map[string]string{
		"setup.csv": "key,value\nISO,fast\n", "lamps.csv": "name,kind\nkey,sun\n", "gels.csv": "name,kind,mired\n,CTB,5\n",
		"cameras.csv": "camera,measured K,camera K\nA,,\n", "along.csv": "distance (m),E (lx)\n1,x\n", "cloth.csv": cloth("other cloth", "2026-05-02", 0),
		"meter.csv": "angle (deg),E (lx)\n0,none\n", "ratio.csv": "mark,role,E (lx)\nstage,sun,8\n",
	} {
		folder := theatre()
		folder[name] = &fstest.MapFile{Data: []byte(content)}
		r := read(t, folder, Options{})
		found := false
		for _, p := range r.Problems {
			found = found || p.File == name && p.Text != "" && !strings.HasPrefix(p.Text, name)
		}
		if !found {
			t.Errorf("%s: problems %v", name, r.Problems)
		}
		if len(r.Surfaces) == 0 || severity[r.Verdict.Overall] < severity[uncertainty.Unsure] {
			t.Errorf("%s: verdict %v", name, r.Verdict)
		}
		if !strings.Contains(pageOf(t, r), "Problems with files") {
			t.Errorf("%s: the page does not tell", name)
		}
	}
}

// written is a folder in which a file is saved anew while it is read.
type written struct {
	fstest.MapFS
	name string
}

func (w written) Open(name string) (fs.File, error) {
	file, err := w.MapFS.Open(name)
	if name == w.name {
		w.MapFS[name] = &fstest.MapFile{Data: w.MapFS[name].Data, ModTime: w.MapFS[name].ModTime.Add(1)}
	}
	return file, err
}

// writtenAt is a folder of which one file is saved anew when it has been opened so many
// times.
type writtenAt struct {
	files      fstest.MapFS
	name       string
	at, opened *int
}

func (w writtenAt) Open(name string) (fs.File, error) {
	file, err := w.files.Open(name)
	if name == w.name {
		if *w.opened++; *w.opened == *w.at {
			w.files[name] = &fstest.MapFile{Data: append([]byte("# light: continuous\n"), w.files[name].Data...), ModTime: w.files[name].ModTime.Add(1)}
		}
	}
	return file, err
}

// So it is with the day before, in this folder or in another: whenever its survey is saved
// anew after it was found to be one, and before it is looked at last, that is said, once.
func TestADayBeforeThatChangesMeanwhile(t *testing.T) {
	const survey = "# surface: cloth\n# width: 2\n# height: 1\nlabel,E (lx)\nA1,800\nA2,810\nB1,790\nB2,800\n"
	for _, inside := range []bool{false, true} {
		for at, opened := 0, 1; at <= opened; at++ {
			opened = 0
			day := map[string]string{"cloth.csv": survey}
			here := map[string]string{"cloth.csv": survey}
			o := Options{Before: writtenAt{folderOf(day), "cloth.csv", &at, &opened}, BeforeName: "first"}
			var folder fs.FS = folderOf(here)
			if inside {
				here["first/cloth.csv"], here["setup.csv"] = survey, "key,value\nbefore,first\n"
				folder, o = writtenAt{folderOf(here), "first/cloth.csv", &at, &opened}, Options{}
			}
			r, err := Read(folder, o)
			if err != nil {
				t.Fatal(err)
			}
			said := 0
			for _, p := range r.Problems {
				if p.File == "first/cloth.csv" && strings.Contains(p.Text, "changed while it was read") {
					said++
				}
			}
			if want := map[bool]int{true: 1}[at > 1 && at < opened]; said != want || opened < 3 {
				t.Errorf("inside %t: changed at %d of %d times that it was opened, said %d times, want %d: %v", inside, at, opened, said, want, r.Problems)
			}
		}
	}
}

// A verdict does not stand beside the checksum of a file that it may not rest on.
func TestAFileThatChangesMeanwhile(t *testing.T) {
	for name, want := range map[string]int{"": 0, "cloth.csv": 1} {
		r, err := Read(written{theatre(), name}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		said := 0
		for _, p := range r.Problems {
			if p.File == name && strings.Contains(p.Text, "changed while it was read") {
				said++
			}
		}
		if said != want {
			t.Errorf("%q changes: said %d times, want %d: %v", name, said, want, r.Problems)
		}
	}
}
