package setup

import (
	"strings"
	"testing"
)

// A screen of which nothing is read, or all is left out, is told as that; a place that is
// still to be read is named by its line where it has no label.
func TestScreenUnread(t *testing.T) {
	for _, rows := range []string{"A1,,,\nA2,,,\n", "A1,,,\nA2,300,20,out\n", "A1,300,20,out\nA2,300,20,again\n"} {
		_, err := ReadScreen(strings.NewReader("label,E (lx),L (cd/m²),status\n"+rows), "screen.csv")
		if err == nil || err.Error() != "screen.csv: found no level, expected a luminance at each place that was read" {
			t.Errorf("%q: %v", rows, err)
		}
	}
	read, err := ReadScreen(strings.NewReader("label,x (m),y (m),E (lx),L (cd/m²)\nA1,1,1,300,20\n,2,1,,\n"), "screen.csv")
	if err != nil || len(read.Findings) != 1 || read.Findings[0].Values["lights"] != "line 3" {
		t.Errorf("%v, %+v", err, read)
	}
}

func TestScreenBounds(t *testing.T) {
	for row, want := range map[string]string{
		"A1,2e4,0,100,7":   `s.csv:2:2: found "2e4", expected a place within 10 km`,
		"A1,1,0,100,1e-20": `s.csv:2:5: found "1e-20", expected a level that a meter can show`,
	} {
		if _, err := ReadScreen(strings.NewReader("label,x (m),y (m),E (lx),L (cd/m²)\n"+row+"\n"), "s.csv"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", row, err, want)
		}
	}
}

// A row that its name says is a card counts as one of the reflectance that the name states,
// and never as a place of the screen.
func TestScreenCardByItsName(t *testing.T) {
	read, err := ReadScreen(strings.NewReader("place,lux,L (cd/m²)\nA1,300,20\ngrey card 18%,900,51.4\n"), "screen.csv")
	if err != nil || len(read.Places) != 2 || read.Places[1].Card != 0.18 || read.Places[0].Card != 0 {
		t.Errorf("%v, %+v", err, read)
	}
	for _, name := range []string{"gray card", "Graukarte", "card 2"} {
		_, err := ReadScreen(strings.NewReader("place,lux,L (cd/m²)\nA1,300,20\n"+name+",900,51.4\n"), "screen.csv")
		if err == nil || !strings.Contains(err.Error(), `screen.csv:3:1: found "`+name+`", expected its reflectance in a column reflectance (%)`) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if read, err := ReadScreen(strings.NewReader("place,lux,L (cd/m²)\nA1,300,20\ndiscard,300,19\n"), "screen.csv"); err != nil || read.Places[1].Card != 0 {
		t.Errorf("%v, %+v", err, read)
	}
}
