// Package browsertest drives a real Chromium for tests of what people see: it
// opens pages at the size of a phone or a desk, takes screenshots, and asks
// axe-core what a person with a screen reader or without color would miss.
//
// Where no browser is installed a test that needs one is skipped and says so;
// in CI (the variable CI is set) it fails instead.
package browsertest

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// axe is axe-core 4.14.1 as published, under the Mozilla Public License 2.0.
//
//go:embed axe.min.js
var axe string

// names are what the browser is called on different systems.
var names = []string{"chromium", "chromium-browser", "google-chrome", "chrome"}

// browser is the one that the tests of a package share, with the function that closes
// it: starting one takes longer than most tests.
var browser struct {
	sync.Mutex
	context.Context
	close func()
}

// Open gives an empty tab of a size in CSS pixels with nothing stored, which is given up
// after five minutes and closed when the test ends. All tests share one browser, which
// ends with Shared; to it this machine is stage.test too, and any certificate is good.
func Open(t testing.TB, width, height int) context.Context {
	t.Helper()
	tab, closeTab := chromedp.NewContext(shared(t), chromedp.WithNewBrowserContext())
	defer giveUp(closeTab).Stop()
	Do(t, tab, chromedp.EmulateViewport(int64(width), int64(height)))
	if _, err := chromedp.Call(tab, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
		t.Fatal(err)
	}
	limited, stop := context.WithTimeout(tab, 5*time.Minute)
	t.Cleanup(func() { stop(); closeTab() })
	return limited
}

// shared is the browser of all tests, started for the first.
func shared(t testing.TB) context.Context {
	t.Helper()
	browser.Lock()
	defer browser.Unlock()
	if browser.Context == nil || browser.Err() != nil {
		browser.Context, browser.close = start(t)
	}
	return browser.Context
}

// giveUp ends a browser or a tab that does not answer its first request: the first one has
// no limit of its own, and whoever waited for it waited for ever.
func giveUp(end func()) *time.Timer { return time.AfterFunc(firstAnswer, end) }

// firstAnswer is how long a browser may take on a machine that is slow and shared.
const firstAnswer = 2 * time.Minute

// Shared are the tests of a package; the browser that they share ends with them.
type Shared struct{ *testing.M }

func (s Shared) Run() int {
	debug.SetGCPercent(400) // tests keep little and are many
	defer func() {
		if browser.close != nil {
			browser.close()
		}
	}()
	return s.M.Run()
}

// start starts a browser. Where there is none the test is skipped, in CI it fails.
func start(t testing.TB) (running context.Context, end func()) {
	t.Helper()
	path := ""
	for _, name := range names {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		if os.Getenv("CI") != "" {
			t.Fatalf("no browser found, expected one of %s: .ci/run installs it", strings.Join(names, ", "))
		}
		t.Skipf("no browser found: install one of %s to run this test", strings.Join(names, ", "))
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(path),
		chromedp.Flag("no-sandbox", true), // containers have no user namespaces; only the test's own pages are opened
		chromedp.Flag("hide-scrollbars", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("host-resolver-rules", "MAP stage.test 127.0.0.1"), chromedp.Flag("ignore-certificate-errors", true),
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("disable-quic", true), chromedp.Flag("no-proxy-server", true),
		// No process stands by for a page to come, none draws what the address field would
		// list, and no page that was left is kept.
		chromedp.Flag("disable-features", "Translate,BlinkGenPropertyTrees,SpareRendererForSitePerProcess,BackForwardCache,"+
			"WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup"),
		chromedp.WSURLReadTimeout(time.Minute))
	allocator, closeBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	running, closeTab := chromedp.NewContext(allocator)
	defer giveUp(closeBrowser).Stop()
	Do(t, running)
	return running, func() { closeTab(); closeBrowser() }
}

// Tab opens a further tab of the same browser, of a size in CSS pixels.
func Tab(t testing.TB, browser context.Context, width, height int) context.Context {
	t.Helper()
	tab, closeTab := chromedp.NewContext(browser)
	t.Cleanup(closeTab)
	defer giveUp(closeTab).Stop()
	Do(t, tab, chromedp.EmulateViewport(int64(width), int64(height)))
	return tab
}

// Do does what the actions say, or fails the test.
func Do(t testing.TB, tab context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(tab, actions...); err != nil {
		t.Fatal(err)
	}
}

// Get does an action and gives its value, or fails the test.
func Get[T any](t testing.TB, tab context.Context, action chromedp.Action[T]) T {
	t.Helper()
	value, err := chromedp.Run(tab, action)
	if err != nil {
		t.Fatal(err)
	}
	return value
}

// Finding is what axe-core objects to: the rule, what it asks, and the elements.
type Finding struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		Target  []any  `json:"target"`
		HTML    string `json:"html"`
		Summary string `json:"failureSummary"`
	} `json:"nodes"`
}

// String names the rule and where it is broken.
func (f Finding) String() string {
	text := f.ID + ": " + f.Help
	for _, n := range f.Nodes {
		text += fmt.Sprintf("\n  %v %s\n    %s", n.Target, n.HTML, strings.ReplaceAll(n.Summary, "\n", "\n    "))
	}
	return text
}

// Axe runs all rules of axe-core over the page in the tab and returns what it
// objects to, nothing where all is well.
func Axe(t testing.TB, tab context.Context) []Finding {
	t.Helper()
	return axeRun(t, tab, `{resultTypes: ["violations"]}`)
}

// AxeColors runs those rules of axe-core alone that look at colors: all that another
// theme of a page can break that Axe has seen in one.
func AxeColors(t testing.TB, tab context.Context) []Finding {
	t.Helper()
	return axeRun(t, tab, `{resultTypes: ["violations"], runOnly: [`+colorRules+`]}`)
}

// AxeButColors runs the other rules: all that another size of a page can break. Those of
// colors take most of the time.
func AxeButColors(t testing.TB, tab context.Context) []Finding {
	t.Helper()
	return axeRun(t, tab, `{resultTypes: ["violations"], rules: Object.fromEntries([`+colorRules+`].map(r => [r, {enabled: false}]))}`)
}

const colorRules = `"color-contrast", "link-in-text-block"`

func axeRun(t testing.TB, tab context.Context, options string) []Finding {
	t.Helper()
	if !Get(t, tab, chromedp.Evaluate[bool](`"axe" in window`)) {
		Do(t, tab, chromedp.Evaluate[chromedp.Void](axe))
	}
	answer := Get(t, tab, chromedp.Evaluate[string](`axe.run(document, `+options+`).then(r => JSON.stringify(r.violations))`, chromedp.EvalAwaitPromise))
	var found []Finding
	if err := json.Unmarshal([]byte(answer), &found); err != nil {
		t.Fatal(err)
	}
	return found
}

// Whole reports whether every view is looked at in every theme and size: with VIEWS=all
// and where pictures are saved. Otherwise the dark theme alone is.
func Whole() bool { return os.Getenv("VIEWS") == "all" || os.Getenv("SCREENSHOTS") != "" }

// Themes are those of the page in which a view is looked at: a theme is colors alone, and
// what fits in one fits in all.
func Themes() []string {
	if Whole() {
		return []string{"dark", "light", "night"}
	}
	return []string{"dark"}
}

// Screenshot saves the whole page as a PNG into the folder that the variable
// SCREENSHOTS names, to be looked at; without the variable it does nothing.
func Screenshot(t testing.TB, tab context.Context, name string) {
	t.Helper()
	folder := os.Getenv("SCREENSHOTS")
	if folder == "" {
		return
	}
	png := Get(t, tab, chromedp.FullScreenshot(100))
	if err := os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644); err != nil {
		t.Fatal(err)
	}
}
