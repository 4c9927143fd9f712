package page

import (
	"bytes"
	"errors"
	"net/http"

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
		w.Write(b.Bytes())
	}
	return nil
}
