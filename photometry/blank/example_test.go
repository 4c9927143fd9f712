package blank_test

import (
	"fmt"
	"os"

	"evenfall/photometry"
	"evenfall/photometry/blank"
)

// The places of a cloth in serpentine order, the middle one as the reference.
func ExampleSheet_Write() {
	sheet := blank.Sheet{Columns: 2, Rows: 2, WidthM: 4, HeightM: 2, Unit: photometry.LX}
	if err := sheet.Write(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output:
	// # width: 4 m
	// # height: 2 m
	// # grid: 2x2
	// # reference: B2
	// label,x (m),y (m),time,E (lx),note
	// B2,3.000,0.500,,,reference
	// A1,1.000,1.500,,,
	// A2,3.000,1.500,,,
	// B2,3.000,0.500,,,
	// B1,1.000,0.500,,,
	// B2,3.000,0.500,,,reference again
}
