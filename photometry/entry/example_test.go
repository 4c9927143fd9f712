package entry_test

import (
	"fmt"

	"evenfall/photometry"
	"evenfall/photometry/entry"
)

// 69 in a column of lux may be a misplaced decimal point, footcandles, or two digits
// that changed places.
func ExampleMeantBy() {
	for _, m := range entry.MeantBy(photometry.Meter{Unit: photometry.LX}, photometry.Illuminance, 69) {
		fmt.Printf("%s: %s\n", m.Reason, m.Typed)
	}
	// Output:
	// lux_fc_swap: 69 fc
	// lux_fc_swap: 6.41031
	// decimal_slip: 690
	// decimal_slip: 6.9
	// decimal_slip: 6900
	// decimal_slip: 0.69
	// decimal_slip: 69000
	// decimal_slip: 0.069
	// digits_transposed: 96
}
