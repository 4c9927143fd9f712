package plan_test

import (
	"context"
	"fmt"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry/evenness"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

const lamps = `name,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),flux (lm),beam (deg),dimmer (%),CCT (K)
left,point,-1,1,3,2,1,0,12000,60,80,5600
right,point,5,1,3,2,1,0,12000,60,20..100,5600
`

func scene() (*plan.Scene, plan.Surface) {
	table, err := setup.ReadLamps(strings.NewReader(lamps), "lamps.csv")
	if err != nil {
		panic(err)
	}
	box := spatial.Box{X1: 4, Y1: 2}
	s, err := plan.NewScene(table, plan.Options{Surface: &box})
	if err != nil {
		panic(err)
	}
	return s, plan.Surface{Extent: box}
}

// A predicted surface is a survey like a measured one.
func ExampleScene_Survey() {
	s, on := scene()
	predicted, err := s.Survey(on)
	if err != nil {
		panic(err)
	}
	r, err := evenness.Analyze(predicted)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%d places, spread %.2f stop, mean %.0f lx\n", r.Points, r.Evenness.SpreadStops, r.Evenness.Mean)
	// Output: 112 places, spread 0.90 stop, mean 560 lx
}

func ExampleScene_Mark() {
	s, _ := scene()
	m := s.Mark(plan.Mark{Label: "chair", X: 2, Y: 1, Z: 0.5})
	fmt.Printf("%s: %.0f lx, %.0f K, %s %.0f %%\n", m.Label, m.Level, *m.CCT, m.From[0].Lamp, m.From[0].Percent)
	// Output: chair: 640 lx, 5600 K, left 57 %
}

// The one free cell is the right lamp's dimmer; the lamps stand alike.
func ExampleScene_Solve() {
	s, on := scene()
	_, moves, solution, err := s.Solve(context.Background(), plan.Goal{On: on})
	if err != nil {
		panic(err)
	}
	for _, m := range moves {
		fmt.Printf("%s %s: %.0f to %.0f %s\n", m.Lamp, m.Field, m.From, m.To, m.Unit)
	}
	fmt.Printf("spread %.2f to %.2f stop\n", solution.SpreadBeforeStops, solution.SpreadStops)
	// Output:
	// right dimmer: 60 to 80 %
	// spread 0.90 to 0.69 stop
}

func ExampleScene_SweepFrame() {
	table, err := setup.ReadLamps(strings.NewReader(`name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission
key,point,0,1,4,0,1,0,9000,60,,,,
cloth,frame,0,1,3,0,1,0,,,1.2,1.2,key,40
`), "lamps.csv")
	if err != nil {
		panic(err)
	}
	s, err := plan.NewScene(table, plan.Options{})
	if err != nil {
		panic(err)
	}
	_, info, err := s.SweepFrame(plan.Sweep{Frame: "cloth", ToLampM: [2]float64{0.5, 2}, ToSubjectM: [2]float64{1, 3}, HotSpotStops: 1})
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.1f m from the lamp, %.1f m from the subject: hot spot %.1f stop, loss %.1f stops, %.0f lx\n",
		info.Best.ToLampM, info.Best.ToSubjectM, *info.Best.HotSpotStops, info.Best.LossStops, info.Best.Level)
	// Output: 2.0 m from the lamp, 1.0 m from the subject: hot spot 0.9 stop, loss 2.1 stops, 216 lx
}
