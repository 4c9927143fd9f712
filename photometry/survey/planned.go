package survey

import (
	"math"

	"evenfall/photometry/spatial"
)

// findUnread finds the planned places that were not read: those of the grid that the
// notes give, and rows without a level. It is to be called while the places without a
// level are still there.
func (b *builder) findUnread(s *Survey) {
	grid, n := b.notes.grid, b.notes
	type place struct{ x, y float64 }
	bounded := map[place]bool{}
	for _, bound := range s.Bounds {
		bounded[place{bound.X, bound.Y}] = true
	}
	var x, y []float64 // read
	for i, v := range s.Level {
		if math.IsNaN(v) && !bounded[place{s.X[i], s.Y[i]}] {
			s.unread(s.X[i], s.Y[i])
			continue
		}
		x, y = append(x, s.X[i]), append(y, s.Y[i])
	}
	planned := grid.Columns * grid.Rows
	s.Planned = planned > 0 || len(s.UnreadX) > 0
	if planned <= len(x)+len(s.UnreadX) || planned > maxFormPlaces {
		return
	}
	if !s.Settings.Sized {
		for range planned - len(x) - len(s.UnreadX) {
			s.unread(math.NaN(), math.NaN())
		}
		return
	}
	s.UnreadX, s.UnreadY = nil, nil
	places := spatial.NewPlaces(x, y)
	near := 0.3 * math.Min(n.width/float64(grid.Columns), n.height/float64(grid.Rows))
	for row := range grid.Rows {
		for column := range grid.Columns {
			px, py := spatial.GridPosition(column, row, grid.Columns, grid.Rows, n.width, n.height, s.Settings.Edges)
			if len(x) == 0 || places.Closest(px, py, near) < 0 {
				s.unread(px, py)
			}
		}
	}
}

func (s *Survey) unread(x, y float64) {
	s.UnreadX, s.UnreadY = append(s.UnreadX, x), append(s.UnreadY, y)
}
