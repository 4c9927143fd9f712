package page

import (
	"embed"
	"io/fs"
	"net/http"
	"path"
)

//go:embed static
var embedded embed.FS

var types = map[string]string{".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".svg": "image/svg+xml", ".png": "image/png", ".woff2": "font/woff2", ".webmanifest": "application/manifest+json"}

func (s *server) index(w http.ResponseWriter, r *http.Request) error {
	s.devices.greet(w, r)
	return embeddedFile(w, "index.html")
}

func (s *server) icon(w http.ResponseWriter, r *http.Request) error {
	return embeddedFile(w, "icon.svg")
}

func (s *server) static(w http.ResponseWriter, r *http.Request) error {
	return embeddedFile(w, r.PathValue("path"))
}

var errNothingHere = problem{404, "not_found", "There is nothing at this address."}

// embeddedFile responds with a file that is part of the program.
func embeddedFile(w http.ResponseWriter, name string) error {
	kind := types[path.Ext(name)]
	content, err := fs.ReadFile(embedded, "static/"+name)
	if err != nil || kind == "" {
		return errNothingHere
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(content)
	return nil
}
