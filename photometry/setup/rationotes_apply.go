package setup

import (
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/table"
)

// apply understands one note.
func (n *ratioNotes) apply(note table.Note) {
	in := &n.input
	positive := func(to *float64, low, high float64, expected string) {
		v, err := n.number(bare(note.Value))
		if err != nil || !(v > low) || v > high || math.IsInf(v, 0) {
			n.report(note, expected)
			return
		}
		*to = v
	}
	syntax := func(err error) bool {
		if err != nil {
			n.report(note, syntaxExpected(err))
		}
		return err == nil
	}
	if role, ok := strings.CutSuffix(note.Key, " target"); ok {
		stops, err := photometry.ParseStops(strings.TrimPrefix(strings.TrimSpace(note.Value), "+"), n.number)
		if err != nil || math.Abs(stops) > 20 {
			n.report(note, "stops from the key, such as -1 or +1/2 stop")
			return
		}
		in.AreaTargets = append(in.AreaTargets, ratio.AreaTarget{Role: ratio.Role(role), Stops: stops})
		return
	}
	switch note.Key {
	case "title":
		in.Title = note.Value
	case "scene":
		if in.Title != "" {
			in.Title += ", "
		}
		in.Title += note.Value
	case "for":
		in.For = note.Value
	case "date":
		in.Date = note.Value
	case "mark":
		if note.Value != "" {
			n.mark = note.Value
		}
	case "iso":
		positive(&in.Camera.ISO, 0, 1e8, "an ISO speed such as 800")
	case "frame rate":
		positive(&in.Camera.FramesPerSecond, 1e-3, 1e6, "frames a second such as 24")
	case "shutter":
		v, err := n.shutter(note.Value, in.Camera.FramesPerSecond)
		if syntax(err) {
			in.Camera.ShutterS = v
		}
	case "nd":
		stops, ok := n.density(note.Value)
		if !ok {
			n.report(note, "a neutral density such as 0.6 (0.3 a stop), or 2 stops")
			return
		}
		in.Camera.NDStops = stops
	case "filter factor":
		positive(&in.Camera.FilterFactor, 1-1e-12, 1e6, "a filter factor of 1 or more")
	case "transmittance":
		text, percent := strings.CutSuffix(strings.TrimSpace(note.Value), "%")
		v, err := n.number(strings.TrimSpace(text))
		if percent {
			v /= 100
		}
		if err != nil || !(v > 0 && v <= 1) {
			n.report(note, "the lens's transmittance such as 0.8 or 80 %")
			return
		}
		in.Camera.Transmittance = v
	case "t-stop":
		n.setStop(note)
	case "light":
		switch strings.ToLower(note.Value) {
		case "continuous", "constant":
			n.meter.Continuous = true
		case "flash":
		default:
			n.report(note, "continuous or flash")
		}
	case "marks":
		switch strings.ToLower(note.Value) {
		case "third", "thirds", "1/3":
		case "half", "halves", "1/2":
			n.meter.Marks = photometry.Halves
		case "full":
			n.meter.Marks = photometry.Full
		default:
			n.report(note, "third or half")
		}
	case "receptor":
		r, err := photometry.ParseReceptor(note.Value)
		if syntax(err) {
			n.meter.Receptor = r
		}
	case "constant":
		positive(&in.Constant, 0, 1e6, "a calibration constant such as 250")
		n.meter.Constant = in.Constant
	case "repeatability":
		text, percent := strings.CutSuffix(strings.TrimSpace(note.Value), "%")
		v, err := n.number(strings.TrimSpace(text))
		if err != nil || !percent || !(v >= 0 && v <= 50) {
			n.report(note, "a repeatability in percent such as 2 %")
			return
		}
		v /= 100
		in.Repeatability = &v
	case "resolution":
		v, err := photometry.ParseStops(note.Value, n.number)
		if err != nil || !(v >= 0 && v <= 2) {
			n.report(note, "a resolution in stops such as 0.1 stop")
			return
		}
		in.Resolution = v
	case "target":
		v, err := ratio.ParseTarget(note.Value, n.number)
		if syntax(err) {
			in.Target = &v
		}
	case "tolerance":
		text := strings.TrimSpace(strings.TrimLeft(strings.TrimPrefix(strings.TrimSpace(note.Value), "+/-"), "±"))
		v, err := photometry.ParseStops(text, n.number)
		if err != nil || !(v > 0 && v <= 20) {
			n.report(note, "stops on each side such as ±1/3 stop")
			return
		}
		in.ToleranceStops = v
	case "expose for":
		role, err := ParseRole(note.Value)
		if err != nil {
			n.report(note, "the light to expose for, such as key+fill or key")
			return
		}
		in.ExposeFor = role
	case "mains":
		v, err := n.number(strings.TrimSpace(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(note.Value)), "hz")))
		if err != nil || !(v >= 10 && v <= 1000) {
			n.report(note, "the mains frequency, 50 Hz or 60 Hz")
			return
		}
		in.MainsHz = v
	}
}

// density reads neutral density as 0.6, ND 0.6 or 2 stops into stops.
func (n *ratioNotes) density(text string) (stops float64, ok bool) {
	bare := strings.ToLower(strings.TrimSpace(text))
	bare = strings.TrimSpace(strings.TrimPrefix(bare, "nd"))
	if bare == "none" || bare == "clear" {
		return 0, true
	}
	if strings.Contains(bare, "stop") {
		v, err := photometry.ParseStops(bare, n.number)
		return v, err == nil && v >= 0 && v <= 30
	}
	v, err := n.number(bare)
	return photometry.DensityStops(v), err == nil && v >= 0 && v <= 10
}

// setStop reads the stop that the lens is set to.
func (n *ratioNotes) setStop(note table.Note) {
	stop, ok := n.stop(note.Value)
	if !ok {
		n.report(note, "the stop that the lens is set to, such as T4 or f/2.8 1/3")
		return
	}
	n.input.Camera.SetStop = stop
}

// stop reads T4, f/4, 2.8 1/3 as an exact f-number.
func (n *ratioNotes) stop(text string) (fNumber float64, ok bool) {
	text = strings.TrimSpace(text)
	for _, prefix := range []string{"T/", "t/", "T", "t"} {
		if cut, found := strings.CutPrefix(text, prefix); found {
			text = strings.TrimSpace(cut)
			break
		}
	}
	// Read as a flash, its exposure gives the f-number back.
	m := photometry.Meter{Unit: photometry.FStop, Marks: n.meter.Marks, Number: n.number}
	level, unit, err := m.ParseLevel(text)
	if err != nil || unit != photometry.FStop {
		return 0, false
	}
	return photometry.FlashFNumber(level.Value, m.Speed(), m.IncidentConstant()), true
}
