package page

import (
	"bytes"
	"errors"
	"html"
	"net/http"
	"net/url"
	"strings"

	"evenfall/plots/document"
	"evenfall/plots/report"
)

// reportPolicy lets a report show what it has in itself, its style and pictures,
// and nothing else.
const reportPolicy = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// report responds with the folder's report, as evenfall report writes it.
func (s *server) report(w http.ResponseWriter, r *http.Request) error {
	var b bytes.Buffer
	read, err := report.Read(s.store.files(), report.Options{})
	if err == nil {
		err = read.HTML(&b, document.Words{})
	}
	switch {
	case errors.Is(err, report.ErrEmpty):
		plainPage(w, http.StatusNotFound, "No report yet", "There is nothing in the folder to report. Begin a survey first.")
	case err != nil:
		plainPage(w, http.StatusUnprocessableEntity, "No report", sentence("", err))
	default:
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Content-Security-Policy", reportPolicy)
		w.Write(inPage(b.Bytes(), r.URL.Query().Get("theme"), r.URL.Query().Get("back")))
	}
	return nil
}

// nightStyle shows a dark report in red on black, and pictures with a light ground turned
// around.
const nightStyle = `html{background:#000}body{filter:grayscale(1) sepia(1) saturate(7) hue-rotate(-32deg) brightness(.5)}` +
	`main,body{background:#000!important}figure,img{filter:invert(1) brightness(.55)}body :not(img,svg,svg *){background-color:#000!important}`

// inPage puts the way back to a survey into a report, on the screen alone, and shows it in
// the page's theme.
func inPage(report []byte, theme, survey string) []byte {
	style, shows := "", map[string]string{"light": "not all", "dark": "(min-width: 0)", "night": "(min-width: 0)"}[theme]
	if shows != "" {
		for _, dark := range []string{"(prefers-color-scheme: dark)", "(prefers-color-scheme:dark)"} { // of the page, and of pictures within it
			report = bytes.ReplaceAll(report, []byte("screen and "+dark), []byte(strings.Replace("screen and "+shows, "screen and not all", "not all", 1)))
		}
	}
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
