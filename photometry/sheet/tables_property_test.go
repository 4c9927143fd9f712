package sheet_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// plainTables are tables with a row a thing in any order, and a summary row of the columns.
var plainTables = []struct {
	table, header string
	rows          []string
	columns       int
}{
	{"distance", "Distance (m);Lux", []string{"0.5;4310", "1;1104", "1.5;492", "2;281", "3;126", "4;74"}, 2},
	{"meter", "Angle (deg);Lux", []string{"0;640", "15;618", "30;552", "45;448", "60;312"}, 2},
	{"ratio", "Mark;Key (lux);Fill (lux)", []string{"host;1600;400", "guest;1500;390", "witch;1250;320"}, 3},
	{"lamps", "Lamp;Kind;x (m);y (m);z (m)", []string{"left;point;1;2;3", "right;point;4;2;3", "back;panel;2;3;1"}, 5},
	{"gels", "Gel;Mired;Transmission (%)", []string{"half straw;81;73", "pale sky;-49;69", "quarter straw;42;81"}, 3},
	{"cameras", "Camera;Meter K;Camera K", []string{"A cam;3200;3300", "B cam;3200;3150", "C cam;5600;5400"}, 3},
	{"lamp set", "Spot;Left lux;Right lux", []string{"A1;500;120", "A2;300;300", "A3;120;510", "B1;480;110", "B2;290;295", "B3;115;500"}, 3},
}

// Rows in any order, with titles above and summaries below, give the same table.
func TestTablesInAnyOrder(t *testing.T) {
	titles := []string{"Green cloth", "Stage test of the puppet theatre", "Mesures du fond", "Aufbau am Abend", "by Pia, after lunch"}
	summaries := []string{"Average", "Mittelwert", "Moyenne", "Promedio", "Gemiddelde", "Total"}
	for _, plain := range plainTables {
		t.Run(plain.table, func(t *testing.T) {
			read := func(content string) ([]string, error) {
				lines, _, err := readTable(t, plain.table, "sheet.csv", strings.NewReader(content))
				slices.Sort(lines)
				return lines, err
			}
			want, err := read(plain.header + "\n" + strings.Join(plain.rows, "\n") + "\n")
			if err != nil || len(want) < len(plain.rows) {
				t.Fatalf("%q, %v", want, err)
			}
			rapid.Check(t, func(t *rapid.T) {
				pad := strings.Repeat(";", plain.columns-1)
				text := ""
				for range rapid.IntRange(0, 3).Draw(t, "titles") {
					text += rapid.SampledFrom(titles).Draw(t, "title") + pad + "\n"
				}
				if rapid.Bool().Draw(t, "blank row") {
					text += pad + "\n"
				}
				text += plain.header + "\n" + strings.Join(rapid.Permutation(plain.rows).Draw(t, "rows"), "\n") + "\n"
				if rapid.Bool().Draw(t, "blank row below") {
					text += pad + "\n"
				}
				for range rapid.IntRange(0, 2).Draw(t, "summaries") {
					text += rapid.SampledFrom(summaries).Draw(t, "summary")
					if plain.table == "lamps" {
						text += pad + "\n"
						continue
					}
					for range plain.columns - 1 {
						text += fmt.Sprintf(";%d", rapid.IntRange(200, 400).Draw(t, "figure"))
					}
					text += "\n"
				}
				got, err := read(text)
				if err != nil || !slices.Equal(got, want) {
					t.Fatalf("%q, %v\nwant %q\n%s", got, err, want, text)
				}
			})
		})
	}
}
