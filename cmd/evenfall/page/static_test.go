package page

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"
)

// The modules make one script: each is in it once, no import or export is left, and no two
// of them name the same thing outside functions.
func TestModulesMakeOneScript(t *testing.T) {
	all := string(script())
	if left := regexp.MustCompile(`(?m)^\s*(import|export)\b.*`).FindString(all); left != "" {
		t.Errorf("the script has %q", left)
	}
	named := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^(?:async )?(?:function\*?|const|let|class) +([\w$]+)`).FindAllStringSubmatch(all, -1) {
		if named[m[1]] {
			t.Errorf("two modules name %s", m[1])
		}
		named[m[1]] = true
	}
	modules, err := fs.Glob(embedded, "static/*.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range modules {
		content, _ := embedded.ReadFile(name)
		first, _, _ := strings.Cut(string(content), "\n")
		if got := strings.Count(all, first); got != 1 && name != "static/theme.js" { // which runs before the page is drawn
			t.Errorf("%s is in the script %d times", name, got)
		}
	}
}
