package survey

import (
	"math"
	"strings"
	"testing"
)

// A flash meter shows f-numbers with tenths of a stop beside them: from f/5.6 and 8 tenths to
// f/8 and 4 tenths it is 0.6 stop, in any form of the table.
func TestTenthsBesideFNumbers(t *testing.T) {
	for _, head := range []string{"place,f-stop,tenths", "label,f,10ths", "place,f stop,1/10", "place,Blende,Zehntel"} {
		s, err := Read([]Input{{Name: "flash.csv", Reader: strings.NewReader(head + "\nA1,5.6,8\nA2,8,4\nB1,8,0\nB2,8,\n")}}, ReadOptions{})
		if err != nil {
			t.Errorf("%s: %v", head, err)
			continue
		}
		at := func(name string) float64 {
			for i := range s.Len() {
				if s.LabelOf(i) == name {
					return math.Log2(s.Level[i])
				}
			}
			return math.NaN()
		}
		if d := at("A2") - at("A1"); math.Abs(d-0.6) > 0.001 || math.Abs(at("B1")-at("B2")) > 0.001 || math.Abs(at("A2")-at("B1")-0.4) > 0.001 {
			t.Errorf("%s: %.3f stop", head, d)
		}
	}
	s, err := Read([]Input{{Name: "flash.csv", Reader: strings.NewReader("x (m),y (m),f,tenths\n0,0,5.6,8\n1,0,8,4\n0,1,8,0\n1,1,8,\n")}}, ReadOptions{})
	if err != nil || math.Abs(math.Log2(s.Level[1]/s.Level[0])-0.6) > 0.001 {
		t.Errorf("with positions: %v", err)
	}
	if _, err := Read([]Input{{Name: "flash.csv", Reader: strings.NewReader("place,f-stop,tenths\nA1,5.6,8\nA2,8,12\nB1,8,0\nB2,8,\n")}}, ReadOptions{}); err == nil || !strings.Contains(err.Error(), "12") {
		t.Errorf("twelve tenths: %v", err)
	}
}
