package report

import (
	"archive/zip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"time"
)

// PageName is the report's name among the files that are handed over.
const PageName = "report.html"

// handedOver is the time of every file in a hand-over, the earliest that the
// format has: the same folder makes the same bytes.
var handedOver = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Zip writes a hand-over: the page, then the files of the folder that the report
// lists, in the order of their names. A file that is no longer as the report lists
// it is an error, and what was written so far is no hand-over then.
func (r *Report) Zip(w io.Writer, fsys fs.FS) error {
	z := zip.NewWriter(w)
	add := func(name string) (io.Writer, error) {
		return z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: handedOver})
	}
	page, err := add(PageName)
	if err != nil {
		return err
	}
	if err := r.HTML(page); err != nil {
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
		if err := f.copy(into, fsys); err != nil {
			return err
		}
	}
	return z.Close()
}

// copy copies a file that has to be as it was.
func (f File) copy(w io.Writer, fsys fs.FS) error {
	file, err := fsys.Open(f.Name)
	if err != nil {
		return err
	}
	defer file.Close()
	hash := sha256.New()
	if _, err := io.Copy(io.MultiWriter(w, hash), file); err != nil {
		return err
	}
	if hex.EncodeToString(hash.Sum(nil)) != f.SHA256 {
		return fmt.Errorf("%s changed while it was handed over; try again", f.Name)
	}
	return nil
}
