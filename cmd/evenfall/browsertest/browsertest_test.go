package browsertest

import (
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
)

func TestMain(m *testing.M) { os.Exit(Shared{m}.Run()) }

func TestAxeFindsWhatIsWrongAndOnlyThat(t *testing.T) {
	pages := map[string]string{
		"/good": `<!doctype html><html lang="en"><title>Good</title><main><h1>Good</h1><p>All is well.</p></main></html>`,
		"/bad":  `<!doctype html><html lang="en"><title>Bad</title><main><h1>Bad</h1><img src="x.png"><p style="color: #ccc">Faint.</p></main></html>`,
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write([]byte(pages[r.URL.Path]))
	}))
	defer server.Close()
	tab := Open(t, 390, 800)
	Do(t, tab, chromedp.Navigate(server.URL+"/good"))
	if found := Axe(t, tab); len(found) > 0 {
		t.Errorf("findings on a good page: %v", found)
	}
	Do(t, tab, chromedp.Navigate(server.URL+"/bad"))
	found := Axe(t, tab)
	if !slices.ContainsFunc(found, func(f Finding) bool { return f.ID == "image-alt" }) {
		t.Errorf("an image without a text is not found, only %v", found)
	}
	if found := AxeColors(t, tab); len(found) != 1 || found[0].ID != "color-contrast" {
		t.Errorf("of colors alone: %v, expected a faint text", found)
	}
	if found := AxeButColors(t, tab); len(found) == 0 || slices.ContainsFunc(found, func(f Finding) bool { return f.ID == "color-contrast" }) {
		t.Errorf("of all but colors: %v, expected an image without a text", found)
	}
	Do(t, tab, chromedp.Navigate(server.URL+"/good"))
	width := Get(t, tab, chromedp.Evaluate[int]("innerWidth"))
	if width != 390 {
		t.Errorf("the tab is %d px wide, asked for 390", width)
	}
}
