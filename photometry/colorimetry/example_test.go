package colorimetry_test

import (
	"fmt"

	"evenfall/photometry/colorimetry"
)

// Illuminant A as a meter shows it.
func ExampleXY_CCT() {
	light, err := colorimetry.XY{X: 0.44758, Y: 0.40745}.CCT()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(light)
	// Output: 2855 K, Duv 0.0000
}

func ExampleCCT_XY() {
	c, err := colorimetry.CCT{Kelvin: 5600, Duv: 0.003}.XY()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c)
	_, err = colorimetry.CCT{Kelvin: 5600, Duv: 3}.XY()
	fmt.Println(err)
	// Output:
	// xy:0.3302,0.3449
	// too far from white for a color temperature: Duv 3 is more than 0.05 from the Planckian locus: it is no white light, and kelvins do not describe it
}

func ExampleParse() {
	for _, s := range []string{"xy:0.4476,0.4074", "u'v':0.1978,0.4683", "178 mired"} {
		c, err := colorimetry.Parse(s)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(c)
	}
	// Output:
	// xy:0.4476,0.4074
	// xy:0.3126,0.3290
	// xy:0.3298,0.3387
}

// Light from a window and a lamp, as they fall on one spot.
func ExampleMix() {
	window, _ := colorimetry.CCT{Kelvin: 6500, Duv: 0.003}.XY()
	lamp, _ := colorimetry.CCT{Kelvin: 3200}.XY()
	both, err := colorimetry.Mix(colorimetry.Light{Level: 400, XY: window}, colorimetry.Light{Level: 800, XY: lamp})
	if err != nil {
		fmt.Println(err)
		return
	}
	reading, err := both.XY.CCT()
	fmt.Printf("%.0f lx at %v %v\n", both.Level, reading, err)
	// Output:
	// 1200 lx at 3935 K, Duv -0.0024 <nil>
}

func ExampleFilter_Through() {
	tungsten, _ := colorimetry.Planckian(3200)
	behind, err := colorimetry.ConversionFilter(-130.7).Through(tungsten)
	if err != nil {
		fmt.Println(err)
		return
	}
	reading, _ := behind.XY.CCT()
	fmt.Printf("%v, %.1f stops lost\n", reading, behind.LossStops)
	// Output:
	// 5508 K, Duv +0.0006, 1.6 stops lost
}

func ExampleParseNeeds() {
	for _, s := range []string{"needs 10M", "has 10G", "1M"} {
		cc, err := colorimetry.ParseNeeds(s)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(cc.Needs(), "=", cc.Has())
	}
	// Output:
	// needs 10M = has 10G
	// needs 10M = has 10G
	// "1M" can be read two ways: "needs 1M" (this must be added to the light) or "has 1M" (this is the light's own cast, so it needs 1G); write which
}

func ExampleNeeds() {
	need, err := colorimetry.Needs(colorimetry.CCT{Kelvin: 3200, Duv: 0.010}, colorimetry.CCT{Kelvin: 3200})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%+.0f mired and %.1f %s, %.1f stop\n", need.Mired, need.CC, need.CCColor, need.LossStops)
	// Output:
	// -35 mired and 14.7 magenta, 1.0 stop
}

func ExampleCorrect() {
	c, err := colorimetry.Correct(
		colorimetry.CCT{Kelvin: 3200, Duv: 0.010}, colorimetry.CCT{Kelvin: 3200},
		colorimetry.NominalKit(), colorimetry.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	best := c.Stacks[0]
	fmt.Printf("%v: %v, misses by %+.0f mired and %+.4f, costs %.1f stop\n", best.Gels, best.Reading(), best.MissMired, best.MissDuv, best.LossStops)
	for _, f := range c.Advice {
		fmt.Println(f.Code)
	}
	// Output:
	// [quarter CTB half minus green]: 3169 K, Duv -0.0002, misses by +3 mired and -0.0002, costs 1.0 stop
	// needs
	// cc_shifts_mired
	// best_stack
	// loss
	// camera_instead
}

func ExampleCorrectAll() {
	lamps := []colorimetry.Lamp{
		{Name: "key", Light: colorimetry.CCT{Kelvin: 5600, Duv: 0.001}, Level: 1000, Key: true},
		{Name: "fill", Light: colorimetry.CCT{Kelvin: 5550, Duv: 0.009}, Level: 500},
	}
	all, err := colorimetry.CorrectAll(lamps, colorimetry.Aim{Key: true}, colorimetry.NominalKit(), colorimetry.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range all.Lamps {
		fmt.Printf("%s: %v, then %v\n", l.Name, l.Gels, l.After)
	}
	fmt.Printf("set the camera to %.0f K, tint %+.1f\n", all.Camera.Kelvin, all.Camera.Tint)
	// Output:
	// key: [], then 5600 K, Duv +0.0010
	// fill: [quarter minus green], then 5564 K, Duv +0.0014
	// set the camera to 5600 K, tint +1.0
}

func ExampleCameraOffsets() {
	offsets, err := colorimetry.CameraOffsets([]colorimetry.CameraReading{
		{Camera: "A", MeasuredKelvin: 3200, MeasuredDuv: 0, CameraKelvin: 3150, CameraTint: 1},
		{Camera: "A", MeasuredKelvin: 5600, MeasuredDuv: 0.002, CameraKelvin: 5400, CameraTint: 3},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	o := offsets[0]
	fmt.Printf("%+.1f ± %.1f mired, tint %+.1f ± %.1f\n", o.Mired, o.MiredSpread, o.Tint, o.TintSpread)
	setting, err := colorimetry.SettingFor(colorimetry.CCT{Kelvin: 4300, Duv: 0.004}, &o)
	fmt.Printf("set %s to %.0f K, tint %+.1f %v\n", setting.Camera, setting.Kelvin, setting.Tint, err)
	// Output:
	// +5.8 ± 1.2 mired, tint +1.0 ± 0.0
	// set A to 4196 K, tint +5.2 <nil>
}
