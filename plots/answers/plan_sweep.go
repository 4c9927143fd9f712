package answers

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

// sweep is the answer for the place of a frame: the best entry, and how the
// others near it differ.
func (p *planPage) sweep() {
	info := p.r.Sweep
	at := p.r.Diffusion[0]
	title := fmt.Sprintf("%s in front of %s", info.Frame, info.Lamp)
	switch {
	case info.Best != nil:
		at = *info.Best
		p.headline("FOUND", uncertainty.Pass, fmt.Sprintf("%s: %s from the lamp and %s from the subject is the brightest with a %s", title, p.Length(at.ToLampM), p.Length(at.ToSubjectM), strings.Join(Remarks(p.Words, info.Asked), ", a ")))
	case len(info.Asked) > 0:
		at = evenEnough(p.r.Diffusion) // to show where nothing meets what was asked
		p.headline("NOWHERE", uncertainty.Fail, fmt.Sprintf("%s: no distance here has a %s", title, strings.Join(Remarks(p.Words, info.Asked), ", a ")))
	default:
		at = evenEnough(p.r.Diffusion)
		p.Line("frame", fmt.Sprintf("%s, shown about %s from the lamp and %s from the subject; --hot-spot, --loss, --level and --soft ask for more", title, p.Length(at.ToLampM), p.Length(at.ToSubjectM)))
	}
	p.Line("diffusion", fmt.Sprintf("passes %.0f %%, %.0f %% of it straight on, lobe m = %.3g", info.TransmissionPercent, info.UndiffusedPercent, info.LobeExponent)+
		either(info.Nominal, "; nominal: a pair of readings (--with, --without, --at) would tell", ""))
	p.Line("columns", fmt.Sprintf("differences in stops; second: a person %s behind the subject; penumbra: from 10 to 90 %% of the light, of an edge %s from the subject", p.Length(info.SecondM), p.Length(info.EdgeM)))
	p.Gap()
	rows := [][]string{{"to lamp", "subject", "hot spot", "loss", "level", either(p.Feet, "a foot on", "a meter on"), "second", "penumbra", ""}}
	for _, d := range p.r.Diffusion {
		if p.full || d.ToLampM == at.ToLampM || d.ToSubjectM == at.ToSubjectM {
			rows = append(rows, p.sweepRow(d, d.ToLampM == at.ToLampM && d.ToSubjectM == at.ToSubjectM))
		}
	}
	p.Add(document.Table{Caption: "Places of the frame", Rows: rows})
	p.Gap()
	p.predicted()
}

func (p *planPage) sweepRow(d plan.Diffusion, chosen bool) []string {
	hot := cmp.Or(Optional("%.1f", d.HotSpotStops), "dark corner")
	mark := either(d.Meets != nil && *d.Meets, "meets", "")
	if chosen {
		mark = strings.TrimSpace("<- " + mark)
	}
	fall, _ := p.PerLength(d.FalloffStopsPerM)
	return []string{p.Length(d.ToLampM), p.Length(d.ToSubjectM), hot, fmt.Sprintf("-%.1f", d.LossStops), p.level(d.Level),
		fmt.Sprintf("-%.1f", fall), fmt.Sprintf("-%.1f", d.SecondStops), p.Small(d.PenumbraM), mark}
}

// evenEnough is the entry with the least distance to the lamp at which the frame
// is even within a stop, or else the farthest, at the nearest subject.
func evenEnough(all []plan.Diffusion) plan.Diffusion {
	at := slices.IndexFunc(all, func(d plan.Diffusion) bool { return d.HotSpotStops != nil && *d.HotSpotStops <= 1 })
	if at < 0 {
		at = slices.IndexFunc(all, func(d plan.Diffusion) bool { return d.ToLampM == all[len(all)-1].ToLampM })
	}
	return all[at]
}
