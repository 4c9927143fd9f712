package answers

import (
	"encoding/json"
	"testing"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// Values are written in the reader's units, and a count of one is a singular.
func TestFill(t *testing.T) {
	values := photometry.Values{"n": 1, "m": 3, "level": photometry.Level{Value: 215.278, Quantity: photometry.Illuminance}, "at": photometry.Length(3.048),
		"off": photometry.Stop(0.5), "names": []string{"key", "fill", "back"}, "name": "key"}
	us := document.Words{Unit: photometry.FC, Feet: true}
	for template, want := range map[string]string{
		"{n} {n|reading|readings}, {m} {m|reading|readings}": "1 reading, 3 readings",
		"{level} at {at}":      "20.0 fc at 10.0 ft",
		"{off:+.2f} {off:.1f}": "+0.50 0.5",
		"{names}":              "key, fill and back",
		"“{name}” by {off}":    "“key” by 0.5 stop",
	} {
		if got := fill(us, template, values); got != want {
			t.Errorf("%s: %q, want %q", template, got, want)
		}
	}
	if got, want := fill(SI, "{level} at {at}", values), "215 lx at 3.05 m"; got != want {
		t.Errorf("SI: %q, want %q", got, want)
	}
}

// Findings get their texts wherever JSON has them: in values, behind pointers, in
// maps, embedded, and in results of the same type.
func TestDescribe(t *testing.T) {
	type cause struct {
		photometry.Finding
		Weight float64
	}
	type result struct {
		Causes []cause
		Lamps  map[string]cause
		Answer *photometry.Finding
		Read   []photometry.Remark
		More   []*result
		Hidden photometry.Finding `json:"-"`
	}
	catalog["test_gone"] = "{n} gone"
	defer delete(catalog, "test_gone")
	found := photometry.Found("test_gone", "n", 2)
	make := func() *result {
		return &result{Causes: []cause{{found, 1}}, Lamps: map[string]cause{"key": {found, 2}}, Answer: &found, Read: []photometry.Remark{{Finding: found}}, Hidden: found}
	}
	whole := make()
	whole.More = []*result{make()}
	Describe(whole)
	for _, r := range []*result{whole, whole.More[0]} {
		for _, f := range []photometry.Finding{r.Causes[0].Finding, r.Lamps["key"].Finding, *r.Answer, r.Read[0].Finding} {
			if f.Text != "2 gone" {
				t.Errorf("found %q, expected its text", f.Text)
			}
		}
		if r.Hidden.Text != "" {
			t.Error("what JSON does not have was described")
		}
	}
	if text, _ := json.Marshal(whole.Read); string(text) != `["2 gone"]` {
		t.Errorf("remarks are %s", text)
	}
	plain := photometry.Found("test_gone", "n", 1)
	if got := Describe(plain).(photometry.Finding); got.Text != "1 gone" || plain.Text != "" {
		t.Errorf("a copy has %q, what was given %q", got.Text, plain.Text)
	}
}
