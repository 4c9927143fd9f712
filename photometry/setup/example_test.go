package setup_test

import (
	"fmt"
	"strings"

	"evenfall/photometry/setup"
)

func ExampleReadGels() {
	bag, err := setup.ReadGels(strings.NewReader("name,kind,mired,CC,transmission (%)\nhalf CTB,,,,\nmine,CTB,-31,,68\nrose,minus green,,15M,70\n"), "gels.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, g := range bag.Gels {
		fmt.Printf("%s: %+.1f mired, %v\n", g.Name, g.Mired, g.CC)
	}
	_, err = setup.ReadGels(strings.NewReader("name,kind,mired,transmission (%)\nmine,CTB,31,168\n"), "gels.csv")
	fmt.Println(err)
	// Output:
	// half CTB: -65.3 mired, 0
	// mine: -31.0 mired, 0
	// rose: +0.0 mired, 15M
	// gels.csv:2:3: found "31", expected a negative shift, since a CTB cools
	// gels.csv:2:4: found "168", expected more than 0 and at most 100 %
}

func ExampleReadLampColors() {
	lamps, err := setup.ReadLampColors(strings.NewReader("lamp;role;CCT (K);Duv;E (fc)\nmain;key;5600;0,001;116,5\nspare;;;;\nframe;;;;\n"), "lamps.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range lamps.Lamps {
		fmt.Printf("%s: %v, %.0f lx, key %v\n", l.Name, l.Light, l.Level, l.Key)
	}
	fmt.Println("no color:", strings.Join(lamps.Colorless, ", "))
	// Output:
	// main: 5600 K, Duv +0.0010, 1254 lx, key true
	// no color: spare, frame
}

func ExampleReadCameras() {
	cameras, err := setup.ReadCameras(strings.NewReader("camera,measured K,measured Duv,camera K,camera tint\nA,5000,0,4900,2\nA,4000,0,3900,4\n"), "cameras.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range cameras.Offsets {
		fmt.Printf("%s: %+.1f ± %.1f mired, tint %+.1f ± %.1f\n", o.Camera, o.Mired, o.MiredSpread, o.Tint, o.TintSpread)
	}
	// Output:
	// A: +5.2 ± 1.6 mired, tint +3.0 ± 1.4
}
