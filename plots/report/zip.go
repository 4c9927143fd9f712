package report

import (
	"archive/zip"
	"fmt"
	"io"
	"io/fs"
	"time"

	"evenfall/plots/document"
)

// PageName is the report's name among the files that are handed over.
const PageName = "report.html"

// Formats are what a report can be written as.
var Formats = []string{"html", "md", "json", "zip"}

// handedOver is the time of every file in a hand-over, the earliest that the
// format has: the same folder makes the same bytes.
var handedOver = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Zip writes a hand-over: the page, then the files of the folder that the report
// lists, in the order of their names. A file that is no longer as the report lists
// it is an error, and what was written so far is no hand-over then.
func (r *Report) Zip(to io.Writer, fsys fs.FS, w document.Words) error {
	z := zip.NewWriter(to)
	add := func(name string) (io.Writer, error) {
		return z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: handedOver})
	}
	page, err := add(PageName)
	if err != nil {
		return err
	}
	if err := r.HTML(page, w); err != nil {
		return err
	}
	for _, f := range r.Files {
		if f.Name == PageName {
			continue
		}
		into, err := add(f.Name)
		if err != nil {
			return err
		}
		copied, err := copyFile(into, fsys, f.Name)
		if err != nil {
			return err
		}
		if copied.SHA256 != f.SHA256 {
			return fmt.Errorf("%s changed while it was handed over; try again", f.Name)
		}
	}
	return z.Close()
}
