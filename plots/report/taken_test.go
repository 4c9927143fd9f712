package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"evenfall/plots/document"
)

// Who took the readings, and where, stand in the report, at the foot of the reset sheet and
// in JSON: of all that say so, each once.
func TestTaken(t *testing.T) {
	r := read(t, folderOf(map[string]string{
		"cloth.csv": "Paper sky\nOperator:,second assistant\nOperator:,the intern\nLocation:,stage 2\n\n" +
			"place,lux\nA1,800\nA2,810\nA3,805\nB1,790\nB2,800\nB3,795\n",
		"ratio.csv": "# operator: third assistant\nmark,role,E (lx)\nchair,key,800\nchair,fill,400\n",
	}), Options{})
	const cloth, chair = "by second assistant, the intern, at stage 2", "by third assistant"
	if foot := r.resetSheet(document.Words{}).Foot; !strings.HasPrefix(foot, "read "+cloth+" · read "+chair+" · ") {
		t.Errorf("the foot is %q", foot)
	}
	page := textIn(parsed(t, pageOf(t, r)))
	for _, taken := range []string{cloth, chair} {
		if strings.Count(page, taken) < 2 {
			t.Errorf("the page has %q %d times, not on its sheet and in its part", taken, strings.Count(page, taken))
		}
	}
	var of struct {
		Surfaces []struct {
			Result struct{ Operator, Location string }
		}
		Ratios struct{ Result struct{ Operator string } }
	}
	var text bytes.Buffer
	if err := json.NewEncoder(&text).Encode(r); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text.Bytes(), &of); err != nil || of.Surfaces[0].Result.Operator != "second assistant, the intern" || of.Surfaces[0].Result.Location != "stage 2" || of.Ratios.Result.Operator != "third assistant" {
		t.Errorf("%+v %v", of, err)
	}
}
