package page

import (
	"bytes"
	"errors"
	"fmt"
	"html"
	"io/fs"
	"net/http"
	"net/url"
	"strings"
	"sync"

	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/report"
)

// reportPolicy lets a report show what it has in itself, its style and pictures,
// and nothing else.
const reportPolicy = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// reports keeps the folder's report as it was made last.
type reports struct {
	mu      sync.Mutex
	of      string // the files that it was made of
	whole   *report.Report
	err     error
	content []byte // as a page, nil until somebody asks for it
}

// read is what the folder's tables give, read anew where a file is different since. The
// caller holds the lock.
func (m *reports) read(st *store) (*report.Report, error) {
	if of := st.state(); m.of != of || m.whole == nil && m.err == nil {
		m.whole, m.err = report.Read(st.files(), report.Options{})
		m.of, m.content = of, nil
		if m.err == nil && m.whole.ToDo != nil {
			answers.Describe(m.whole.ToDo)
		}
	}
	return m.whole, m.err
}

// state names the files of a folder, with their sizes and times.
func (st *store) state() string {
	var b strings.Builder
	entries, _ := fs.ReadDir(st.root.FS(), ".")
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			fmt.Fprintln(&b, e.Name(), info.Size(), info.ModTime().UnixNano())
		}
	}
	return b.String()
}

// made is the report as a page, made where a file is different since; who asks meanwhile
// waits for the same one.
func (m *reports) made(st *store) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.make(st)
}

// make is made for who holds the lock.
func (m *reports) make(st *store) ([]byte, error) {
	read, err := m.read(st)
	if err != nil || m.content != nil {
		return m.content, err
	}
	var b bytes.Buffer
	if err := read.HTML(&b, document.Words{}); err != nil {
		return nil, err
	}
	m.content = b.Bytes()
	return m.content, nil
}

// warm makes the report before somebody asks for it.
func (m *reports) warm(st *store) {
	if !m.mu.TryLock() {
		return
	}
	defer m.mu.Unlock()
	defer func() { _ = recover() }() // who asks for it is told
	_, _ = m.make(st)
}

// size is how large the report is, 0 where that is not known now.
func (m *reports) size(st *store) int {
	if !m.mu.TryLock() {
		return 0
	}
	defer m.mu.Unlock()
	if m.of != st.state() {
		return 0
	}
	return len(m.content)
}

// report responds with the folder's report, as evenfall report writes it.
func (s *server) report(w http.ResponseWriter, r *http.Request) error {
	content, err := s.store.reports.made(s.store)
	switch {
	case errors.Is(err, report.ErrEmpty):
		framed{Title: "No report yet", Text: "There is nothing in the folder to report. Begin a survey first."}.write(w, http.StatusNotFound)
	case err != nil:
		framed{Title: "No report", Text: sentence("", err)}.write(w, http.StatusUnprocessableEntity)
	default:
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Content-Security-Policy", reportPolicy)
		w.Write(inPage(content, r.URL.Query().Get("theme"), r.URL.Query().Get("back")))
	}
	return nil
}

// nightStyle shows a dark report in red on black, what stands on a filled ground in it in an
// outline, and photos dimmer.
const nightStyle = `html{background:#000}body{filter:grayscale(1) sepia(1) saturate(7) hue-rotate(-32deg) brightness(.6)}` +
	`main,body{background:#000!important}img{filter:brightness(.35)}body :not(img,svg,svg *){background-color:#000!important}` +
	`.judged h2 b,.number b{color:inherit!important;outline:1px solid}`

// themed shows what has a light and a dark form in a theme of the page, whatever the browser
// asks for; night is dark.
func themed(content []byte, theme string) []byte {
	shows := map[string]string{"light": "not all", "dark": "screen and (min-width: 0)", "night": "screen and (min-width: 0)"}[theme]
	if shows == "" {
		return content
	}
	for _, dark := range []string{"(prefers-color-scheme: dark)", "(prefers-color-scheme:dark)"} { // of the page, and of pictures
		content = bytes.ReplaceAll(content, []byte("screen and "+dark), []byte(shows))
	}
	return content
}

// inPage puts the way back to a survey into a report, on the screen alone, and shows it in
// the page's theme.
func inPage(report []byte, theme, survey string) []byte {
	style := ""
	report = themed(report, theme)
	if theme == "night" {
		style = "@media screen{" + nightStyle + "}"
	}
	way, name := "/", "all surveys"
	if checkFile(survey) == nil {
		way, name = "/#/s/"+url.PathEscape(survey), stem(survey)
	}
	bar := `<style>` + style + `.way-back{display:block;padding:.6rem 0;min-height:44px;font:inherit}@media print{.way-back{display:none}}</style>` +
		`<nav aria-label="Back"><a class="way-back" href="` + html.EscapeString(way) + `">‹ Back to ` + html.EscapeString(name) + `</a></nav>`
	return bytes.Replace(report, []byte("<body>"), []byte("<body>"+bar), 1)
}
