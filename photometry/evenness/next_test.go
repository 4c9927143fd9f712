package evenness

import (
	"strings"
	"testing"
)

// A lone bright reading at the limit asks for itself, for a place beside it that tells a
// patch from an error, and for the darkest place, from the top.
func TestNext(t *testing.T) {
	sheet := "# width: 4 m\n# height: 2 m\n# grid: edges\n# tolerance: 0.7 stop\nlabel,E (lx)\nA1,1000\nA2,1010\nA3,1005\nB1,1000\nB2,1690\nB3,1005\nC1,990\nC2,1010\nC3,1000\n"
	var codes []string
	for _, n := range explainedSheet(t, sheet).Next() {
		codes = append(codes, n.Code)
	}
	if got := strings.Join(codes, " "); got != "extreme test extreme" {
		t.Errorf("asks for %q", got)
	}
	even := "# width: 4 m\n# height: 2 m\n# grid: edges\nlabel,E (lx)\nA1,1000\nA2,1010\nA3,1005\nB1,1000\nB2,1000\nB3,1005\nC1,990\nC2,1010\nC3,1000\n"
	if n := explainedSheet(t, even).Next(); len(n) > 0 {
		t.Errorf("nothing is needed, and yet %v", n)
	}
}
