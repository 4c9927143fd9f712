package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// What is one more than a limit is refused with its line, and quickly; what is at the
// limit is not.
func TestLimits(t *testing.T) {
	lines := func(row string) func(int) string {
		return func(i int) string { return strings.ReplaceAll(row, "#", fmt.Sprint(i)) + "\n" }
	}
	for name, c := range map[string]struct {
		command, head, tail string
		row                 func(int) string
		most                int
		refused             string
	}{
		"notes":        {"surface", "", "label,x (m),y (m),E (lx)\nA,0,0,7\nB,1,0,7\n", func(int) string { return "# title: cloth\n" }, table.MostNotes, ":501:1: found more than 500 notes"},
		"notes, ratio": {"ratio", "", "mark,role,E (lx)\nm,key,8\nm,fill,2\n", func(int) string { return "# title: cloth\n" }, table.MostNotes, ":501:1: found more than 500 notes"},
		"columns":      {"surface", "label,x (m),y (m),E (lx)", "\nA,0,0,7\nB,1,0,7\n", func(i int) string { return fmt.Sprintf(",c%d", i) }, table.MostColumns - 4, ":1: found more than 1024 columns"},
		"characters":   {"surface", "label,x (m),y (m),E (lx)\nA", ",0,0,7\nB,1,0,7\n", func(int) string { return "é" }, table.MostCellCharacters - 1, `:2:1: found "Aéé`},
		"lamps alone":  {"surface", "label,x (m),y (m),lamp,E (lx)\n", "", lines("p,0,0,l#,7\nq,1,0,l#,8"), schema.MostLamps, `:402:4: found "l201"`},
		"lamps sharing": {"balance", "label,x (m),y (m),lamp,E (lx)\np,0,0,all,900\nq,1,0,all,900\nr,0,1,all,900\ns,1,1,all,900\n", "",
			lines("p,0,0,l#,9\nq,1,0,l#,9\nr,0,1,l#,9"), schema.MostSharing, ": found 81 lamps read alone at some places only, expected at most 80"},
		"places shared": {"balance", "label,x (m),y (m),lamp,E (lx)\np1,1,0,a,4\np2,2,0,a,4\np3,3,0,a,4\np1,1,0,b,5\np2,2,0,b,5\np3,3,0,b,5\n", "",
			lines("p#,#,0,all,9"), schema.MostShared, ": found 2001 places, expected at most 2000 where 2 lamps are read alone at some of them only"},
		"lights at a mark": {"ratio", "mark,role,lamp,E (lx)\n", "", lines("m,key,l#,80"), schema.MostLights, `:202:2: found "key"`},
		"cameras": {"correct 5000K --to 5600K --camera c1 --cameras", "camera,measured K,camera K\n", "", lines("c#,5600,5500"), schema.MostRows(schema.CamerasFile),
			":1002: found more than 1000 rows, expected at most 1000 of a table of"},
		"lamps":              {"plan --at 2,1,1", "name,kind,x (m),y (m),z (m),flux (lm)\n", "", lines("l#,point,1,2,4,9000"), schema.MostRows(schema.LampsFile), ":1002: found more than 1000 rows"},
		"flags":              {"plan --at 2,1,1", "name,kind,x (m),y (m),z (m),aim x,aim y,aim z,flux (lm),source width,source height\nl,point,1,2,4,1,2,0,9000,,\n", "", lines("f#,flag,1,2,3,1,2,0,,0.4,0.6"), schema.MostShapers, `:43:2: found "flag"`},
		"cells with a range": {"plan --at 2,1,1 --level 800lx --starts 1", "name,kind,x (m),y (m),z (m),flux (lm)\nl,point,1,2,4,9000\n", "", lines("l#,point,1,2,4,9000 (8000..9000)"), schema.MostFree, ": found 101 cells with a range, expected at most 100"},
		"passed on":          {"plan --at 2,1,1", "name,kind,x (m),y (m),z (m),aim x,aim y,aim z,flux (lm),source width,source height,behind,transmission\nl,point,1,2,4,1,2,0,9000,,,,\nf,frame,1,2,3,1,2,0,,1.2,1,", ",60\n", func(int) string { return "l+" }, schema.MostPassedOn, `:3:12: found "l+l+`},
		"dimmers":            {"dimmer", "lamp,dimmer (%),E (lx)\n", "", lines("l#,100,80"), schema.MostRows(schema.DimmersFile), ":10002: found more than 10000 rows"},
		"typed":              {"surface", "My cloth\nSpot,Lux reading\n", "", lines("p#,700"), table.MostTypedRows - 2, ":25001: found more than 60000 cells or 25000 rows"},
		"typed, no title":    {"surface", "Spot,Lux reading\n", "", lines("p#,700"), table.MostTypedRows - 1, ":25001: found more than 60000 cells or 25000 rows"},
		"typed, marks":       {"ratio", "Mark,Key lux,Fill lux\n", "", lines("m#,8,2"), schema.MostRows(schema.RatioFile), ":20002: found more than 20000 rows"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for more := range 2 {
				var b strings.Builder
				b.WriteString(c.head)
				for i := range c.most + more {
					b.WriteString(c.row(i + 1))
				}
				b.WriteString(c.tail)
				path := filepath.Join(t.TempDir(), "in.csv")
				if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
					t.Fatal(err)
				}
				said, status := runIn(t, "", append(strings.Fields(c.command), path)...)
				if refused := strings.Contains(strings.ReplaceAll(said, path, ""), c.refused); refused != (more == 1) || refused && status != exitNothing {
					t.Errorf("%d more: status %d, %.300s", more, status, said)
				}
			}
		})
	}
}

// What stands so close that its light takes more looks than may be is refused: frames one
// behind the other, at a row of theirs, and lamps behind many nets, as a whole; fewer of
// them are not.
func TestLimitOfLooks(t *testing.T) {
	const head = "name,kind,x (m),y (m),z (m),aim x,aim y,aim z,flux (lm),beam (deg),source width,source height,behind,transmission,lobe m\n"
	frames, nets := "f0,point,2,1,3,2,1,0,9000,60,,,,,\n", "d0,disc,2,1,3,2,1,0,9000,60,1,,,,\n"
	for i := range 20 {
		frames += fmt.Sprintf("f%d,frame,2,1,%g,2,1,0,,,3.5,3.5,f%d,60,6\n", i+1, 2.6-0.1*float64(i), i)
		nets += fmt.Sprintf("n%d,net,%g,%g,%g,%g,1,0,,,0.5,0.5,,70,\n", i, 1.7+0.03*float64(i), 0.8+0.02*float64(i), 1.5+0.01*float64(i), 1.5+0.1*float64(i%7))
	}
	for i := range 300 {
		nets += fmt.Sprintf("d%d,disc,%g,1,3,2,1,0,9000,60,1,,,,\n", i+1, 1.5+0.003*float64(i))
	}
	rows := func(table string, n int) string { return head + strings.Join(strings.SplitAfter(table, "\n")[:n], "") }
	for name, c := range map[string]struct{ args, table, refused string }{
		"one frame":  {"--at 2,1,0.5", rows(frames, 2), ""},
		"frames":     {"--at 2,1,0.5", rows(frames, 21), `:4:13: found "f1"`},
		"three nets": {"--size 4x2", rows(nets, 4), ""},
		"nets":       {"--size 4x2", rows(nets, 321), "found over 20 million looks"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "in.csv")
			if err := os.WriteFile(path, []byte(c.table), 0o600); err != nil {
				t.Fatal(err)
			}
			said, status := runIn(t, "", append(strings.Fields("plan "+c.args), path)...)
			if refused := status == exitNothing; refused != (c.refused != "") || !strings.Contains(said, c.refused) {
				t.Errorf("status %d, %.400s", status, said)
			}
		})
	}
}
