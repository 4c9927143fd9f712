package sheet

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// FuzzOrder: the rows of a list may come in any order, with titles above and summaries
// below in any of six languages, and give the same figures.
func FuzzOrder(f *testing.F) {
	for seed := range uint64(40) {
		f.Add(seed)
	}
	titles := []string{"Green cloth", "Studio Ninth Door, 14 March", "Mesures du fond", "Stage wash after lunch", "Bühne Papiermond", "readings by the gaffer"}
	summaries := []string{"Average", "Mittelwert", "Moyenne", "Promedio", "Media", "Gemiddelde", "Max", "Mín", "Total", "Mean of all"}
	headers := [][2]string{{"Spot", "Lux"}, {"Messpunkt", "Beleuchtungsstärke [lx]"}, {"Point", "Éclairement (lux)"}, {"place", "reading lux"}, {"Punto", "Illuminamento (lux)"}}
	f.Fuzz(func(t *testing.T, seed uint64) {
		r := rand.New(rand.NewPCG(seed, 1))
		columns, rows := 2+r.IntN(5), 1+r.IntN(4)
		base := 50 + 2000*r.Float64()
		var lines []string
		low, high := 0.0, 0.0
		for row := range rows {
			for column := range columns {
				level := float64(int(base * (0.8 + 0.4*r.Float64())))
				if len(lines) == 0 || level < low {
					low = level
				}
				high = max(high, level)
				lines = append(lines, fmt.Sprintf("%s;%g", spot{column, row}, level))
			}
		}
		if len(lines) < 3 {
			return
		}
		r.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
		var b strings.Builder
		for range r.IntN(3) {
			b.WriteString(titles[r.IntN(len(titles))] + ";\n")
		}
		if r.IntN(2) == 0 {
			b.WriteString(";\n")
		}
		header := headers[r.IntN(len(headers))]
		fmt.Fprintf(&b, "%s;%s\n%s\n", header[0], header[1], strings.Join(lines, "\n"))
		if r.IntN(3) == 0 {
			b.WriteString(";\n")
		}
		for range r.IntN(3) {
			fmt.Fprintf(&b, "%s;%g\n", summaries[r.IntN(len(summaries))], (low+high)/2)
		}
		tables, err := Read(strings.NewReader(b.String()), "sheet.csv", nil)
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		gotLow, gotHigh, places, unit := tables[0].Figures()
		if gotLow != low || gotHigh != high || places != len(lines) || unit.String() != "lx" {
			t.Fatalf("%g to %g %s, %d places, want %g to %g lx, %d\n%s", gotLow, gotHigh, unit, places, low, high, len(lines), b.String())
		}
	})
}
