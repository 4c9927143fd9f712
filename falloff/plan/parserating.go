package plan

import (
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// parseRating reads 1200 at 3, 1200 lx at 3 m, 110 fc @ 10 ft.
func parseRating(text string) (lux, meters float64, ok bool) {
	level, distance, found := strings.Cut(strings.ToLower(text), " at ")
	if !found {
		if level, distance, found = strings.Cut(text, "@"); !found {
			return 0, 0, false
		}
	}
	l, _, err := photometry.Meter{Unit: photometry.LX, Number: table.ParseNumber}.ParseLevel(strings.TrimSpace(level))
	if err != nil || l.Quantity != photometry.Illuminance || !(l.Value > 0) {
		return 0, 0, false
	}
	meters, err = table.ParseLength(strings.TrimSpace(distance), "m")
	return l.Value, meters, err == nil && meters > 0
}
