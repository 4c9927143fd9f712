package setup

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func folderOf(files map[string]string) fstest.MapFS {
	out := fstest.MapFS{}
	for name, content := range files {
		out[name] = &fstest.MapFile{Data: []byte(content)}
	}
	return out
}

func TestFolderIsKnownByNamesAndColumns(t *testing.T) {
	f, err := OpenFolder(folderOf(map[string]string{
		"setup.csv":         "key,value\ntitle,The Moth\n",
		"Lamps.CSV":         "name,kind\nkey,point\n",
		"lamps-free.csv":    "name,kind,x (m)\nkey,point,1..2\n",
		"ratio.csv":         "mark,role,E (lx)\nstage,key,900\n",
		"gels.csv":          "name,kind\nhalf blue,CTB\n",
		"cameras.csv":       "camera,measured K,camera K\nA,3200,3170\n",
		"cloth.csv":         "# surface: green cloth\n# date: 2026-03-04\nlabel,x (m),y (m),E (lx)\nA1,0,0,700\n",
		"cloth-lamps.csv":   "# date: 2026-03-04\nlamp;label;x (m);y (m);E (lx)\nleft;A1;0,5;0,5;300\n",
		"cloth-colors.csv":  "# surface: Green Cloth\n# date: 2026-03-04\nK,0,1\n0,5600,5600\n1,5600,5600\n",
		"cloth-day2.csv":    "# surface: green cloth\n# date: 2026-03-05\nlabel,E (lx)\nA1,700\n",
		"floor.csv":         "label,E (lx)\nA1,400\n",
		"key frame.csv":     "distance (m),E (lx)\n1,900\n",
		"meter.csv":         "label,angle (deg),E (lx)\nagain,0,900\n",
		"words.csv":         "who,what\nme,that\n",
		"broken.xlsx":       "no workbook\x00",
		"stage.jpg":         "",
		"cloth-level.png":   "",
		".hidden.csv":       "label,E (lx)\nA1,4\n",
		"sub/other.csv":     "label,E (lx)\nA1,4\n",
		"notes.txt":         "hello",
		"~$cloth.xlsx":      "lock",
		"written-by-it.log": "",
	}))
	if err != nil {
		t.Fatal(err)
	}
	if f.Setup != "setup.csv" || f.Lamps != "Lamps.CSV" || f.Ratio != "ratio.csv" || f.Gels != "gels.csv" || f.Cameras != "cameras.csv" {
		t.Errorf("tables known by name: %+v", f)
	}
	var surveys []string
	for _, s := range f.Surveys {
		surveys = append(surveys, s.Title+"|"+s.Date+"|"+strings.Join(s.Files, "+"))
	}
	if want := []string{"||floor.csv", "green cloth|2026-03-04|cloth.csv+cloth-colors.csv+cloth-lamps.csv", "green cloth|2026-03-05|cloth-day2.csv"}; !slices.Equal(surveys, want) {
		t.Errorf("surveys %q, want %q", surveys, want)
	}
	for _, c := range []struct {
		what      string
		got, want []string
	}{
		{"distances", f.Distances, []string{"key frame.csv"}}, {"meters", f.Meters, []string{"meter.csv"}},
		{"photos", f.Photos, []string{"stage.jpg"}}, {"others", f.Others, []string{"lamps-free.csv", "words.csv"}},
	} {
		if !slices.Equal(c.got, c.want) {
			t.Errorf("%s %q, want %q", c.what, c.got, c.want)
		}
	}
	if len(f.Problems) != 1 || f.Problems[0].File != "broken.xlsx" || !strings.Contains(f.Problems[0].Err.Error(), "broken.xlsx") {
		t.Errorf("problems %v, want one in broken.xlsx", f.Problems)
	}
}

func TestTwoFilesThatClaimTheSameTable(t *testing.T) {
	_, err := OpenFolder(folderOf(map[string]string{"lamps.csv": "name,kind\n", "lamps.xlsx": "", "setup.csv": "key,value\n", "SETUP.csv": "key,value\n"}))
	if err == nil || !strings.Contains(err.Error(), "lamps.csv and lamps.xlsx both claim to be the table “lamps”") ||
		!strings.Contains(err.Error(), "SETUP.csv and setup.csv both claim") {
		t.Errorf("found %v", err)
	}
}

func TestAnEmptyFolder(t *testing.T) {
	f, err := OpenFolder(folderOf(map[string]string{"stage.jpg": ""}))
	if err != nil || !f.Empty() {
		t.Errorf("a folder with a photo alone: %+v, %v", f, err)
	}
}

// A file that was saved twice is read once, whatever its name or form.
func TestCopiesInAFolder(t *testing.T) {
	const cloth = "label,x (m),y (m),E (lx)\nA1,0,0,700\nA2,1,0,710\nA3,2,0,720\nB1,0,1,705\nB2,1,1,715\n"
	const key = "distance (m),E (lx)\n1,900\n1.5,400\n2,225\n2.5,144\n3,100\n"
	const lamps = "name,kind\nkey,point\n"
	f, err := OpenFolder(folderOf(map[string]string{
		"cloth.csv": cloth, "cloth (1).csv": strings.ReplaceAll(cloth, ",", ";"),
		"cloth.sorted.csv": "label,x (m),y (m),E (lx)\nB2,1,1,715\nB1,0,1,705\nA3,2,0,720\nA2,1,0,710\nA1,0,0,700\n",
		"another.csv":      strings.Replace(cloth, "715", "716", 1), "tomorrow.csv": "# date: 2026-03-05\n" + cloth,
		"key.csv": key, "key copy.tsv": strings.ReplaceAll(key, ",", "\t"),
		"lamps.csv": lamps, "lamps.tsv": strings.ReplaceAll(lamps, ",", "\t"),
	}))
	if err != nil {
		t.Fatal(err)
	}
	var surveys []string
	for _, s := range f.Surveys {
		surveys = append(surveys, s.Files...)
	}
	if want := []string{"another.csv", "cloth.csv", "tomorrow.csv"}; !slices.Equal(surveys, want) {
		t.Errorf("surveys %q, want %q", surveys, want)
	}
	if !slices.Equal(f.Distances, []string{"key.csv"}) || f.Lamps != "lamps.csv" {
		t.Errorf("distances %q, lamps %q", f.Distances, f.Lamps)
	}
	var copies []string
	for _, x := range f.Findings() {
		copies = append(copies, x.Values["file"].(string)+" of "+x.Values["of"].(string))
	}
	slices.Sort(copies)
	if want := []string{"cloth (1).csv of cloth.csv", "cloth.sorted.csv of cloth.csv", "key copy.tsv of key.csv", "lamps.tsv of lamps.csv"}; !slices.Equal(copies, want) {
		t.Errorf("copies %q, want %q", copies, want)
	}
}

func TestFolderKnowsTablesAsPeopleTypeThem(t *testing.T) {
	f, err := OpenFolder(folderOf(map[string]string{
		"titled distance.csv": "Key light walk-off\n\ndistance (m),lux\n1,900\n2,230\n",
		"abstand.csv":         "Abstand in cm;Lux\n50;900\n100;230\n",
		"titled cloth.csv":    "Cloth at noon,\nplace,lux\nA1,700\nA2,690\n",
		"tuch.csv":            "Grünes Tuch;\nMesspunkt;Beleuchtungsstärke (lx)\nA1;700\nA2;690\n",
		"winkel.csv":          "Unser Messgerät;\nWinkel;Lux\n0;700\n60;352\n",
		"shopping.csv":        "Our list\nitem,price\nlamp,20\ntape,4\n",
		"lamps-hired.csv":     "name,kind,x (m)\nkey,point,1\n",
		"calls.csv":           "Calls\nname,place,time\nA,stage,10:05\n",
	}))
	if err != nil {
		t.Fatal(err)
	}
	var surveys []string
	for _, s := range f.Surveys {
		surveys = append(surveys, s.Files...)
	}
	for _, c := range []struct {
		what      string
		got, want []string
	}{
		{"surveys", surveys, []string{"titled cloth.csv", "tuch.csv"}}, {"distances", f.Distances, []string{"abstand.csv", "titled distance.csv"}},
		{"meters", f.Meters, []string{"winkel.csv"}}, {"others", f.Others, []string{"calls.csv", "lamps-hired.csv", "shopping.csv"}},
	} {
		if !slices.Equal(c.got, c.want) {
			t.Errorf("%s %q, want %q", c.what, c.got, c.want)
		}
	}
}

// Readings over the settings of a dial are those of a dimmer by whatever name the dial has,
// and no surface; beside places such a column is one of theirs.
func TestFolderKnowsDimmers(t *testing.T) {
	for _, head := range []string{"fader %,lux", "dim (%),E (lx),K", "Output %,fc", "Setting,lux", "Key light;\nFader %;Lux"} {
		f, err := OpenFolder(folderOf(map[string]string{"curve.csv": head + strings.ReplaceAll("\n100,1180\n75,640\n50,260\n25,56\n", ",", string(head[strings.IndexAny(head, ",;")]))}))
		if err != nil || f.Dimmers != "curve.csv" || len(f.Surveys) > 0 {
			t.Errorf("%s: dimmers %q, surveys %v, %v", head, f.Dimmers, f.Surveys, err)
		}
	}
	f, err := OpenFolder(folderOf(map[string]string{"walk.csv": "place,setting,lux\nA1,100,1180\nA2,100,1140\nB1,100,1160\nB2,100,1156\n"}))
	if err != nil || f.Dimmers != "" || len(f.Surveys) != 1 {
		t.Errorf("places with a setting: dimmers %q, surveys %v, %v", f.Dimmers, f.Surveys, err)
	}
}
