package answers

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots/document"
)

// fittedSeries is a distance series as a file holds it.
func fittedSeries(t *testing.T, sheet string, o falloff.Options) (*survey.Series, *falloff.Distance) {
	t.Helper()
	s, err := survey.ReadSeries(survey.Input{Name: "lamp.csv", Reader: strings.NewReader(sheet)}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := falloff.FitSeries(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// From where on the inverse square holds is one sentence.
func TestHolds(t *testing.T) {
	none := photometry.Finding{}
	said := func(key string, latest photometry.Length, counted, besides photometry.Finding) photometry.Finding {
		return photometry.Found(key, "from", photometry.Length(3), "latest", latest, "sure", photometry.Range{From: 2, To: latest}, "read", photometry.Range{From: 0.5, To: 10}, "counted", counted, "besides", besides)
	}
	for want, f := range map[string]photometry.Finding{
		"Inverse square at every distance read, 0.50 to 10.0 m, within 1 %.":                                                                   said(falloff.HoldsAllTheWay, 0.4, none, none),
		"Inverse square from 3.00 m on (95 % CI 2.00–4.00 m), within 1 %; ambient light or bounce adds more than 1 % beyond 7.00 m.":           said(falloff.HoldsFrom, 4, none, photometry.Found("beyond.besides", "beyond", photometry.Length(7))),
		"Inverse square from 4.00 m on at the latest, within 1 %, counted from 0.20 m ahead of the tape's zero.":                               said(falloff.HoldsBy, 4, photometry.Found("counted", "offset", photometry.Length(-0.2)), none),
		"Inverse square from 4.00 m on at the latest; nearer than that is not settled; ambient light or bounce adds more than 1 % everywhere.": said(falloff.HoldsUnsettled, 4, none, photometry.Found("besides")),
		"Line 4 is suspect; with it no law fits these readings.":                                                                               photometry.Found("suspect.no_law_fits", "suspect", photometry.Found("by_line", "line", 4)),
		"These readings, good to 2 %, do not settle the intensity and the ambient light.":                                                      photometry.Found("unsettled", "percent", photometry.Percentage(2), "what", []photometry.Finding{photometry.Found("what_intensity"), photometry.Found("what_ambient")}),
	} {
		if got := Sentence(SI, f); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// A suspect is named, with each data-entry error that would explain it.
func TestOutlier(t *testing.T) {
	s, r := fittedSeries(t, "distance (m),label,lux\n1,A,4000\n1.5,B,1778\n2,émigré,99.9\n3,D,444\n4,E,250\n6,F,111\n", falloff.Options{})
	words := SeriesWords(document.Words{Unit: photometry.FC, Feet: true}, s)
	if got := Sentence(words, r.Answer); !strings.HasPrefix(got, "Émigré is suspect; with it ") {
		t.Errorf("%q", got)
	}
	text := strings.Join(Sentences(words, r.Warnings), "\n")
	if !strings.Contains(text, "Émigré (9.28 fc at 6.56 ft) is -3.3") || !strings.Contains(text, " Lux and footcandles, or meters and feet, swapped would do that. A misplaced decimal point would do that.") {
		t.Errorf("%q", text)
	}
	if got := Sentences(words, r.Advice); len(got) != 1 || got[0] != "Read émigré again first: all of this may change with it." {
		t.Errorf("%q", got)
	}
}

// Sentences follow the units of whoever asks; no figure does, and JSON has SI units.
func TestSeriesWords(t *testing.T) {
	sheet := "distance (ft),E (fc)\n3,100\n5,36\n8,14.1\n12,6.25\n20,2.25\n"
	s, r := fittedSeries(t, sheet, falloff.Options{})
	if got := Sentence(SeriesWords(document.Words{Feet: true}, s), r.Answer); !strings.Contains(got, " ft on at the latest") {
		t.Errorf("%q", got)
	}
	Describe(r)
	if !strings.Contains(r.Answer.Text, " m on at the latest") {
		t.Errorf("%q", r.Answer.Text)
	}
	before, _ := json.Marshal(r.Points)
	_, again := fittedSeries(t, sheet, falloff.Options{})
	if after, _ := json.Marshal(again.Points); string(before) != string(after) {
		t.Errorf("%s\n%s", before, after)
	}
}

func TestBetween(t *testing.T) {
	meters := document.Words{}.Length
	for _, c := range [][2]string{
		{between(falloff.Interval{Lo: 1, Hi: 2}, meters), "1.00 to 2.00 m"}, {between(falloff.Interval{Lo: 1, Hi: math.Inf(1)}, meters), "at least 1.00 m"},
		{between(falloff.Interval{Lo: math.Inf(-1), Hi: 2}, meters), "at most 2.00 m"}, {between(falloff.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}, meters), ""},
		{photometry.FromTo(5.6, 8, func(v float64) string { return photometry.FormatFNumber(v) + " 1/10" }), "f/5.6 1/10 to f/8 1/10"},
	} {
		if c[0] != c[1] {
			t.Errorf("%q, want %q", c[0], c[1])
		}
	}
}
