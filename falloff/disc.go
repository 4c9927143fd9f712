package falloff

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Disc is a round Lambertian surface: a softbox's or a frame's face, or what a
// reflector's mouth looks like from afar. It shines to its front only.
type Disc struct {
	// Center is the middle of the disc, in meters.
	Center r3.Vec
	// Normal is where its front looks, any length but zero.
	Normal r3.Vec
	// RadiusM is its radius in meters.
	RadiusM float64
	// Luminance is the same all over and in every direction, in cd/m².
	Luminance float64
}

// Illuminance returns the exact illuminance at any point and tilt. It is
// Lambert's contour integral
//
//	E = L/2 · ∮ n·(r × dr)/|r|²
//
// taken in closed form along the part of the rim that the receiver sees above
// its own horizon and, where the horizon cuts the disc, back along the chord.
// With the receiver at (a, 0, h) in the disc's frame, A = R² + a² + h²,
// B = 2aR and S = √(A² − B²), the three integrals along the rim are
//
//	∫ dφ/(A − B cos φ)       = (φ + 2 atan(B sin φ/(A + S − B cos φ)))/S
//	∫ cos φ dφ/(A − B cos φ) = (A·(the first) − φ)/B
//	∫ sin φ dφ/(A − B cos φ) = ln(A − B cos φ)/B
//
// so no part is numerical, and the receivers that face the disc, are
// perpendicular to it or look at its middle are cases of the same expression
// (configurations B-12 to B-14 of J. R. Howell, A Catalog of Radiation Heat
// Transfer Configuration Factors). The contour integral is in J. H. Lambert,
// Photometria (1760), and P. Moon, The Scientific Basis of Illuminating
// Engineering (1936), chapter 10.
func (s Disc) Illuminance(at, normal r3.Vec) float64 {
	w, ok1 := unit(s.Normal)
	n, ok2 := unit(normal)
	if !ok1 || !ok2 {
		return 0
	}
	p := r3.Sub(at, s.Center)
	h := r3.Dot(p, w)
	radius := math.Abs(s.RadiusM)
	if !(h > 0) || radius == 0 {
		return 0
	}
	// The frame: u toward the receiver's foot on the disc's plane.
	side := r3.Sub(p, r3.Scale(h, w))
	a := math.Sqrt(r3.Norm2(side))
	u, ok := unit(side)
	if ok {
		// Next to the axis the foot is all rounding: square the frame again.
		u, ok = unit(r3.Sub(u, r3.Scale(r3.Dot(u, w), w)))
	}
	if !ok || a < 1e-300 {
		u, a = across(w), 0
	}
	v := r3.Cross(w, u)
	return sane(s.Luminance / 2 * discContour(radius, a, h, r3.Dot(n, u), r3.Dot(n, v), r3.Dot(n, w)))
}

// discContour returns ∮ n·(r × dr)/|r|² around the part of the disc above the
// horizon of a receiver at (a, 0, h) with the unit normal (nx, ny, nz), all in
// the disc's frame.
func discContour(radius, a, h, nx, ny, nz float64) float64 {
	// A rim point r(φ) is above the horizon where ρ·R·cos(φ − ψ) > k.
	rho := radius * math.Hypot(nx, ny)
	k := a*nx + h*nz
	if k >= rho {
		return 0
	}
	near := math.Hypot(radius-a, h)
	far := math.Hypot(radius+a, h)
	s := near * far // √(A² − B²)
	aa := radius*radius + a*a + h*h
	b := 2 * a * radius
	if s == 0 {
		return 0 // on the rim itself
	}
	if k <= -rho {
		// All of it: the sine integral vanishes by symmetry.
		beta := b / (aa + s)
		full := 2 * math.Pi / s
		// aa + s − 2a² without the cancellation that grazing brings.
		rest := s + (radius*radius + h*h - a*a)
		if excess := a*a - radius*radius - h*h; excess > 0 {
			rest = 4 * a * a * h * h / (s + excess)
		}
		facing := full * radius * radius * rest / (aa + s)
		return -nz*facing - nx*h*radius*full*beta
	}
	psi := math.Atan2(ny, nx)
	half := math.Acos(k / rho)
	f1, f2 := psi-half, psi+half
	s1, c1 := math.Sincos(f1)
	s2, c2 := math.Sincos(f2)
	t := math.Atan2(b*s2, aa+s-b*c2) - math.Atan2(b*s1, aa+s-b*c1)
	i0 := (2*half + 2*t) / s
	var ic, is float64
	if b > 0 {
		ic = (b/(aa+s)*2*half + 2*aa*t/b) / s
		is = math.Log1p(b*(c1-c2)/(aa-b*c1)) / b
	} else {
		ic = (s2 - s1) / aa
		is = (c1 - c2) / aa
	}
	rim := nx*h*radius*ic + ny*h*radius*is + nz*(radius*radius*i0-a*radius*ic)
	// The chord lies in the horizon plane, where n·(r × dr)/|r|² is the plain
	// angle seen.
	x1, y1 := radius*c1-a, radius*s1
	x2, y2 := radius*c2-a, radius*s2
	dot := x1*x2 + y1*y2 + h*h
	cx := -y2*h + h*y1 // r2 × r1 with z = −h
	cy := -h*x1 + x2*h
	cz := x2*y1 - y2*x1
	chord := math.Atan2(nx*cx+ny*cy+nz*cz, dot)
	return -(rim + chord)
}
