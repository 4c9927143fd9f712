package sheet

import (
	"slices"
	"strings"
	"testing"
)

// A reference that its name says was read once more is a reading of that place, whatever is
// beside the name; a name with a number of its own is a place, and so is one that an answer
// leaves out.
func TestRepeatsByTheirNames(t *testing.T) {
	for _, c := range []struct{ leaveOut, names, want string }{
		{"", "C4,A1,A2,C4 again,B1,B2,C4 (2)", "C4,A1,A2,C4,B1,B2,C4"},
		{"", "C4 ref,A1,A2,B1,B2,REF C4,B3,C4 ref 3", "C4,A1,A2,B1,B2,C4,B3,C4"},
		{"", "window,door,desk,window 2nd,shelf", "window,door,desk,window,shelf"},
		{"", "spot 1,spot 2,spot 3,spot 4,spot 5", "spot 1,spot 2,spot 3,spot 4,spot 5"},
		{"", "first row,second row,third row,back wall", "first row,second row,third row,back wall"},
		{"c4 again 2", "C4,A1,A2,C4 again,B1,B2,C4 again 2", "C4,A1,A2,C4,B1,B2"},
		{"B2; C4 again", "C4,A1,A2,C4 again,B1,B2,C4 again 2", "C4,A1,A2,B1,C4"},
	} {
		text := "place,lux,time\n"
		if c.leaveOut != "" {
			text = "# leave out: " + c.leaveOut + "\n" + text
		}
		for i, name := range strings.Split(c.names, ",") {
			text += name + "," + []string{"410", "400", "405", "408"}[i%4] + ",9:0" + string(rune('0'+i)) + "\n"
		}
		tables, err := Read(strings.NewReader(text), "walk.csv", nil)
		if err != nil {
			t.Errorf("%s: %v", c.names, err)
			continue
		}
		var got []string
		for i := range tables[0].Rows {
			got = append(got, tables[0].Cell(i, 0).Text)
		}
		if want := strings.Split(c.want, ","); !slices.EqualFunc(got, want, strings.EqualFold) {
			t.Errorf("%s: read as %q", c.names, got)
		}
	}
}
