package falloff

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// Finding is one thing that a result has to say; see photometry.Finding.
type Finding = photometry.Finding

// Conclusions are what a result says beside its figures.
type Conclusions struct {
	// Causes says why the light falls, or the meter reads, as it does, Advice
	// what to do, Warnings what to be careful of (among them each reason against
	// a settled result).
	Causes   []Finding `json:"causes,omitempty"`
	Advice   []Finding `json:"advice,omitempty"`
	Warnings []Finding `json:"warnings,omitempty"`

	// ReadAs says how a sheet was read that is not in the plain form, else nil.
	ReadAs *photometry.ReadAs `json:"read_as,omitempty"`
	// Inferred are assumptions that the figures rest on, and ParseLog how the file
	// was understood; both are empty for readings that came from no file. ParseLog
	// stays off the JSON, so that the same readings give the same JSON from any
	// kind of file.
	Inferred []photometry.Remark `json:"inferred,omitempty"`
	ParseLog []photometry.Remark `json:"-"`
}

func (c *Conclusions) warn(key string, namesAndValues ...any) {
	c.Warnings = append(c.Warnings, photometry.Found(key, namesAndValues...))
}

func (c *Conclusions) cause(key string, namesAndValues ...any) {
	c.Causes = append(c.Causes, photometry.Found(key, namesAndValues...))
}

func (c *Conclusions) advise(key string, namesAndValues ...any) {
	c.Advice = append(c.Advice, photometry.Found(key, namesAndValues...))
}

// caused says whether one of the codes is among the causes.
func (c *Conclusions) caused(codes ...string) bool {
	return slices.ContainsFunc(c.Causes, func(f Finding) bool { return slices.Contains(codes, f.Code) })
}

// dataEntryErrors are the errors of writing a reading down that put it so many
// stops off its law.
var dataEntryErrors = []struct {
	stops float64
	code  string
	cause Finding
}{
	{2 * math.Log2(1/0.3048), "lux_fc_swap", photometry.Found("slip_units")},
	{math.Log2(10), "decimal_slip", photometry.Found("slip_decimal")},
	{2 * math.Log2(10), "decimal_slip", photometry.Found("slip_decimal_distance")},
	{2 * math.Log2(100), "decimal_slip", photometry.Found("slip_centimeters")},
}

// level is a level of the series.
func (o Options) level(v float64) photometry.Level {
	quantity, _ := photometry.QuantityOf(o.Unit)
	return photometry.Level{Value: v, Quantity: quantity}
}
