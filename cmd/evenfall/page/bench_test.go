package page

import (
	"fmt"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"
)

// folderWith makes a folder with one survey of columns × rows places that are
// all read, and opens it.
func folderWith(tb testing.TB, columns, rows int) (*store, *live) {
	tb.Helper()
	root, err := os.OpenRoot(tb.TempDir())
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { root.Close() })
	st := newStore(root)
	name, err := st.create(NewSurvey{Title: "green cloth", Kind: "screen", WidthM: 4.8, HeightM: 2.4, Columns: columns, Rows: rows})
	if err != nil {
		tb.Fatal(err)
	}
	l, err := st.open(name)
	if err != nil {
		tb.Fatal(err)
	}
	var entries []Entry
	for i, p := range l.editor.places {
		entries = append(entries, Entry{ID: fmt.Sprint(i), Label: p.label, At: time.Now().UnixMilli() - 100_000 + int64(i), Text: level(p.x, p.y, 4.8, 2.4), Kind: kindRead})
	}
	if _, err := l.enter(entries, "phone"); err != nil {
		tb.Fatal(err)
	}
	return st, l
}

// level is a made-up reading: a cloth that falls off toward its edges.
func level(x, y, width, height float64) string {
	u, v := 2*x/width-1, 2*y/height-1
	return fmt.Sprintf("%.0f", 1000-120*u*u-90*v*v+40*u)
}

// benchmarkEntry is one reading as it comes from a device, made durable and
// answered with the state, in a survey of so many places. The time for 2,000 is to
// be under five times that for ten.
func benchmarkEntry(b *testing.B, columns, rows int) {
	st, l := folderWith(b, columns, rows)
	known, _ := newDevices(Options{}, "8642")
	s := &server{store: st, guard: newGuard(Options{}, "8642", nil), devices: known, ending: make(chan struct{})}
	handler := s.handler()
	at := time.Now().UnixMilli()
	b.ResetTimer()
	for i := range b.N {
		p := l.editor.places[i%len(l.editor.places)]
		r := httptest.NewRequest("POST", "/api/surveys/"+l.name+"/entries", strings.NewReader(
			fmt.Sprintf(`{"entries":[{"id":"x","label":%q,"at":%d,"text":"%d","kind":"read"}]}`, p.label, at+int64(i), 700+i%300)))
		r.Host = "localhost:8642"
		r.Header.Set("Origin", "http://localhost:8642")
		r.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		if w.Code != 200 || !strings.Contains(w.Body.String()[:200], stored) {
			b.Fatal(w.Code, w.Body.String()[:200])
		}
	}
}

func BenchmarkEntry10(b *testing.B)   { benchmarkEntry(b, 5, 2) }
func BenchmarkEntry2000(b *testing.B) { benchmarkEntry(b, 50, 40) }

func BenchmarkOpen2000(b *testing.B) {
	_, l := folderWith(b, 50, 40)
	content := l.content
	b.ResetTimer()
	for range b.N {
		if _, err := newEditor(l.name, content, time.Now(), time.Local); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJudge2000(b *testing.B) {
	_, l := folderWith(b, 50, 40)
	b.ResetTimer()
	for range b.N {
		a := &analysis{name: l.name, content: l.content}
		if _, err := a.judge(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkEntry2000Watched is the same while twenty devices watch, each asking for
// the state with its result as it is sent with a revision.
func BenchmarkEntry2000Watched(b *testing.B) {
	st, l := folderWith(b, 50, 40)
	var wait sync.WaitGroup
	var leaves []func()
	done := make(chan bool)
	for range 20 {
		leave, err := l.watch()
		if err != nil {
			b.Fatal(err)
		}
		leaves = append(leaves, leave)
		wait.Go(func() {
			for {
				select {
				case <-l.bell.next():
					if state, err := l.state(true); err != nil || state.Result == nil {
						b.Error(err)
						return
					}
				case <-done:
					return
				}
			}
		})
	}
	at := st.now().UnixMilli()
	for i := range b.N {
		p := l.editor.places[i%len(l.editor.places)]
		if _, err := l.enter([]Entry{{Label: p.label, At: at + int64(i), Text: fmt.Sprint(700 + i%300), Kind: kindRead}}, "phone"); err != nil {
			b.Fatal(err)
		}
	}
	b.StopTimer()
	close(done)
	wait.Wait()
	for _, leave := range leaves {
		leave()
	}
}

// folderOf makes a folder of surveys, each of 45 places that are all read.
func folderOf(tb testing.TB, surveys int) *os.Root {
	tb.Helper()
	folder := tb.TempDir()
	for n := range surveys {
		var text strings.Builder
		fmt.Fprintf(&text, "# surface: cloth %d\n# for: screen\n# date: 2026-%02d-%02d\n# width: 4.8\n# height: 2.4\nlabel,time,E (lx)\n", n/4, 1+n/28%12, 1+n%28)
		for row := range 5 {
			for column := range 9 {
				x, y := (float64(column)+0.5)*4.8/9, (float64(row)+0.5)*2.4/5
				fmt.Fprintf(&text, "%c%d,2026-03-04T10:%02d:%02d+01:00,%s\n", 'A'+row, column+1, column, row, level(x, y, 4.8, 2.4+float64(n)/50))
			}
		}
		if err := os.WriteFile(fmt.Sprintf("%s/cloth-%03d.csv", folder, n), []byte(text.String()), 0o666); err != nil {
			tb.Fatal(err)
		}
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { root.Close() })
	return root
}

// benchmarkAnswer is one request to a program that has just begun, in a folder of 200
// surveys.
func benchmarkAnswer(b *testing.B, path string) {
	root := folderOf(b, 200)
	known, _ := newDevices(Options{}, "8642")
	for b.Loop() {
		s := &server{store: newStore(root), guard: newGuard(Options{}, "8642", nil), devices: known, ending: make(chan struct{})}
		if path != "/report" {
			s.store.reports.mu.Lock() // none is made meanwhile
		}
		r := httptest.NewRequest("GET", path, nil)
		r.Host = "localhost:8642"
		w := httptest.NewRecorder()
		s.handler().ServeHTTP(w, r)
		if w.Code != 200 {
			b.Fatal(w.Code, w.Body.String()[:200])
		}
		b.ReportMetric(float64(w.Body.Len())/1e6, "MB")
	}
}

// The list of a folder is to be there in a second, the report in three.
func BenchmarkFolder200(b *testing.B) { benchmarkAnswer(b, "/api/folder") }
func BenchmarkReport200(b *testing.B) { benchmarkAnswer(b, "/report") }
