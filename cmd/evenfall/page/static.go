package page

import (
	"embed"
	"net/http"
	"path"
	"regexp"
	"sync"
)

//go:embed static
var embedded embed.FS

var types = map[string]string{".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml",
	".png": "image/png", ".csv": "text/csv; charset=utf-8", ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}

func (s *server) index(w http.ResponseWriter, r *http.Request) error {
	s.devices.greet(w, r)
	return embeddedFile(w, "index.html")
}

// script is the page's modules as one, each after those that it imports, so that a phone
// asks once in place of forty times. What they name outside functions is in one scope then,
// and each import and export is on a line of its own.
var script = sync.OnceValue(func() (all []byte) {
	imports, exports := regexp.MustCompile(`(?m)^import .*"\./(.+)";$`), regexp.MustCompile(`(?m)^export `)
	added := map[string]bool{}
	var add func(name string)
	add = func(name string) {
		if added[name] {
			return
		}
		added[name] = true
		content, _ := embedded.ReadFile("static/" + name)
		for _, imported := range imports.FindAllSubmatch(content, -1) {
			add(string(imported[1]))
		}
		all = append(all, exports.ReplaceAll(imports.ReplaceAll(content, nil), nil)...)
	}
	add("app.js")
	return all
})

var errNothingHere = problem{404, "not_found", "There is nothing at this address."}

// embeddedFile responds with a file that is part of the program.
func embeddedFile(w http.ResponseWriter, name string) error {
	kind := types[path.Ext(name)]
	content, err := embedded.ReadFile("static/" + name)
	if name == "app.js" {
		content = script()
	}
	if err != nil || kind == "" {
		return errNothingHere
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(content)
	return nil
}
