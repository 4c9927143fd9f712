package report

import (
	"fmt"
	"image/color"
	"io"
	"slices"
	"strings"

	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/answers"
	"evenfall/plots/canvas"
	"evenfall/plots/document"
)

// The measures of a printed sheet, in pixels of half a point.
const (
	sheetMargin = 57.0 // 10 mm
	sheetGap    = 26.0
	sheetTop    = 34.0
)

var (
	plainType   = plots.Type{Size: 16}
	softType    = plots.Type{Size: 16, Soft: true}
	boldType    = plots.Type{Size: 16, Bold: true}
	headingType = plots.Type{Size: 17, Bold: true}
	answerType  = plots.Type{Size: 19, Bold: true}
	titleType   = plots.Type{Size: 23, Bold: true}
)

// printedSheet is the sheet while it is laid out for print.
type printedSheet struct {
	*plots.Paper
	*sheet
}

// write writes the sheet as pages of a PDF, or as one SVG with a page below the other. It
// returns the texts of a PDF with letters that its typeface lacks.
func (s *sheet) write(to io.Writer, format string, letter bool) (undrawable []string, err error) {
	p := &printedSheet{plots.NewPaper(letter), s}
	p.layOut()
	pages := p.Finish("Reset sheet: "+s.Title, format == "svg")
	if format == "svg" {
		return nil, pages[0].Write(to, format)
	}
	for _, page := range pages {
		undrawable = append(undrawable, page.Undrawable()...)
	}
	return undrawable, canvas.WritePages(to, pages...)
}

// Text keeps figures on one line with their units.
func (p *printedSheet) Text(x, y, wide float64, text string, t plots.Type) float64 {
	return p.Paper.Text(x, y, wide, document.Unbroken(text), t)
}

func (p *printedSheet) layOut() {
	wide := (p.Width - 2*sheetMargin - sheetGap) / 2
	right := sheetMargin + wide + sheetGap
	y := p.head()
	one := p.panel(sheetMargin, p.todo(sheetMargin, p.judged(sheetMargin, y, wide), wide), wide, p.Plan)
	other := y
	if p.Exposure != "" {
		other = p.boxed(right, y, wide, 1.5, func(x, y, wide float64) float64 {
			y = p.Text(x, y, wide, p.Exposure, answerType)
			for _, text := range p.Exposed {
				y = p.Text(x, y, wide, text, plainType)
			}
			return y
		})
	}
	for _, of := range []*panel{p.Level, p.Marks} {
		other = p.panel(right, other, wide, of)
	}
	if p.Left {
		one = p.panel(sheetMargin, one, wide, p.Difference)
	} else {
		other = p.panel(right, other, wide, p.Difference)
	}
	y = p.lamps(max(one, other))
	p.last(y)
	for page := range p.Pages() {
		p.Go(page)
		foot := p.bottom() + 4
		p.Line(2, [2]float64{sheetMargin, foot - 4}, [2]float64{p.Width - sheetMargin, foot - 4})
		number := fmt.Sprintf("Evenfall, page %d of %d", page+1, p.Pages())
		left := p.Width - sheetMargin - p.TextWidth(number, softType)
		p.Text(left, foot, sheetMargin+left, number, softType)
		p.Text(sheetMargin, foot, p.footWidth(), p.Foot, softType)
	}
}

// head is the title with what the sheet is of: beside it, or below where that is long.
func (p *printedSheet) head() (below float64) {
	all := p.Width - 2*sheetMargin
	of := p.TextWidth(p.Of, softType)
	if of > all/2 {
		return p.Text(sheetMargin, p.Text(sheetMargin, sheetTop, all, p.Title, titleType), all, p.Of, softType) + 4
	}
	p.Text(p.Width-sheetMargin-of, sheetTop+6, of+1, p.Of, softType)
	return p.Text(sheetMargin, sheetTop, all-of-20, p.Title, titleType) + 4
}

// bottom is where the foot of a page begins, which ends as far above its edge as a printer
// may leave empty.
func (p *printedSheet) bottom() float64 {
	return p.Height - 30 - p.TextHeight(p.footWidth(), document.Unbroken(p.Foot), softType)
}

// footWidth is the width of the foot beside the number of the page.
func (p *printedSheet) footWidth() float64 {
	return p.Width - 2*sheetMargin - p.TextWidth("Evenfall, page 8 of 8", softType) - 20
}

// boxed frames what is set in it, and returns where the next begins.
func (p *printedSheet) boxed(x, y, wide, line float64, set func(x, y, wide float64) float64) float64 {
	below := set(x+10, y+6, wide-20) + 4
	p.Box(x, y, wide, below-y, line, false)
	return below + 4
}

// judged is the verdict with a line for each thing that was judged.
func (p *printedSheet) judged(x, y, wide float64) float64 {
	return p.boxed(x, y, wide, 4, func(x, y, wide float64) float64 {
		word := p.TextWidth(p.Headline.Word, answerType) + 14
		p.Box(x, y-2, word, 25, 2, true)
		p.Text(x+7, y, word, p.Headline.Word, plots.Type{Size: 19, Bold: true, Color: color.White})
		y = p.Text(x+word+8, y, wide-word-8, p.Headline.Text, answerType) + 4
		for _, c := range p.Checks {
			switch c.Class {
			case uncertainty.Pass:
				p.Line(2.5, [2]float64{x, y + 9}, [2]float64{x + 5, y + 15}, [2]float64{x + 13, y + 2})
			case uncertainty.Fail:
				p.Line(2.5, [2]float64{x, y + 3}, [2]float64{x + 12, y + 15})
				p.Line(2.5, [2]float64{x, y + 15}, [2]float64{x + 12, y + 3})
			default:
				p.Text(x, y, 20, c.Sign, boldType)
			}
			y = p.Text(x+24, y, wide-24, c.Text, plainType)
		}
		return y
	})
}

// heading is a title with what it is in, over a rule.
func (p *printedSheet) heading(x, y, wide float64, title, note string) float64 {
	used := p.TextWidth(note, softType)
	p.Text(x+wide-used, y, used+1, note, softType)
	y = p.Text(x, y, wide-used-10, title, headingType) + 1
	p.Line(2, [2]float64{x, y}, [2]float64{x + wide, y})
	return y + 3
}

// todo is the list, each step with the reading that proves it and what it leaves.
func (p *printedSheet) todo(x, y, wide float64) float64 {
	if len(p.Steps) == 0 {
		return y
	}
	const after = 76.0
	y = p.heading(x, y, wide, "To do, in this order", "spread after, stops")
	for _, step := range p.Steps {
		p.Text(x, y, 20, step.Number, boldType)
		beside := p.Text(x+wide-after+4, y, after, step.After, boldType)
		beside = p.Text(x+wide-after+4, beside, after, step.Interval, softType)
		y = p.Text(x+22, y, wide-22-after, step.Text, plainType)
		if step.Check != "" {
			y = p.Text(x+22, y, wide-22-after, "check: "+step.Check, boldType)
		}
		y = max(y, beside) + 2
		p.Line(1, [2]float64{x, y}, [2]float64{x + wide, y})
		y += 2
	}
	return p.Text(x, y, wide, p.Why, softType) + 3
}

// panel is a picture under its title, its legend below or beside it.
func (p *printedSheet) panel(x, y, wide float64, of *panel) float64 {
	if of == nil {
		return y
	}
	if of.Title != "" {
		y = p.heading(x, y, wide, of.Title, of.Note)
	}
	if of.Picture == nil {
		return y
	}
	drawn := wide
	if of.Beside() {
		drawn *= float64(of.Picture.Width) / sheetColumn
	}
	below := p.Picture(x, y, drawn, of.Picture)
	if left, beside := x+drawn+8, y; of.Beside() {
		for _, text := range of.Legend {
			beside = p.Text(left, beside, wide-drawn-8, text, plainType)
		}
		return max(below, beside) + 2
	}
	return p.Text(x, below, wide, strings.Join(of.Legend, " · "), plainType) + 4
}

// lampColumns are the columns of the table of lamps: heads and shares of its width.
var lampColumns = []struct {
	head  string
	share float64
}{{"", 0.03}, {"Lamp", 0.115}, {"Stands (%s)", 0.165}, {"Points (aim in %s)", 0.205}, {"Set to", 0.14}, {"Gel; K, Duv", 0.115}, {"Alone reads", 0.115}, {"Today", 0.085}, {"OK", 0.03}}

// lamps is the table of lamps, on the page of the rest where it fits there whole.
func (p *printedSheet) lamps(y float64) float64 {
	if len(p.Lamps) == 0 {
		return p.Text(sheetMargin, y, p.Width-2*sheetMargin, "no table of lamps on file", softType)
	}
	if !p.Many() {
		return p.keep(y, func(y float64) float64 {
			y = p.lampHeads(y)
			for _, l := range p.Lamps {
				y = p.lamp(y, l)
			}
			return y
		})
	}
	p.Turn()
	y = sheetTop
	for _, l := range p.Lamps {
		y = p.keep(y, func(y float64) float64 {
			if y == sheetTop {
				y = p.lampHeads(y)
			}
			return p.lamp(y, l)
		})
	}
	return y
}

// keep sets what belongs together, on a further page where it would not fit.
func (p *printedSheet) keep(y float64, set func(y float64) float64) float64 {
	return p.Keep(y, sheetTop, p.bottom(), set)
}

func (p *printedSheet) lampHeads(y float64) float64 {
	x := sheetMargin
	for _, c := range lampColumns {
		if c.head == "Set to" && p.NoScrims {
			c.head += " (no scrims)"
		}
		if strings.Contains(c.head, "%") {
			c.head = fmt.Sprintf(c.head, p.Unit)
		}
		p.Text(x, y, 200, c.head, softType)
		x += c.share * (p.Width - 2*sheetMargin)
	}
	p.Line(2, [2]float64{sheetMargin, y + 19}, [2]float64{p.Width - sheetMargin, y + 19})
	return y + 21
}

// mostInCell is how many lines a text in the table of lamps has at most: one can be as long
// as a book.
const mostInCell = 12

// lamp is a row of the table.
func (p *printedSheet) lamp(y float64, l sheetLamp) float64 {
	cells := [][]answers.Note{{{Text: fmt.Sprint(l.Number), Strong: true}}, {{Text: l.Name, Strong: true}, {Text: l.Below, Missing: true}}, l.Stands, l.Points, l.Set, l.Color, l.Reads}
	below, x, all := y, sheetMargin, p.Width-2*sheetMargin
	for i, c := range lampColumns {
		wide := c.share*all - 8
		switch {
		case i < len(cells):
			at := y
			for _, note := range cells[i] {
				t := plainType
				t.Bold, t.Soft, t.Lines = note.Strong, note.Missing, mostInCell
				at = p.Text(x, at, wide, note.Text, t)
			}
			below = max(below, at)
		case c.head == "Today" && l.Today != "":
			p.Box(x, y+1, wide, 18, 2, false)
			below = max(below, p.Text(x, y+20, wide, l.Today, softType))
		default:
			p.Box(x, y+2, wide, 24, 2, false)
		}
		x += c.share * all
	}
	below = max(below, y+28) + 1
	p.Line(1, [2]float64{sheetMargin, below}, [2]float64{sheetMargin + all, below})
	return below + 1
}

// last are the lines under the table, what is not on file, what contradicts itself, and the cautions.
func (p *printedSheet) last(y float64) {
	var last []string
	if len(p.Missing) > 0 {
		last = append(last, "Not on file: "+strings.Join(p.Missing, ", ")+".")
	}
	if len(p.Contradicts) > 0 {
		last = append(last, "Does not fit: "+strings.Join(p.Contradicts, " "))
	}
	text := strings.Join(append(slices.Concat(p.Under, last), "Caution: "+p.Caution), " ")
	p.keep(y, func(y float64) float64 { return p.Text(sheetMargin, y, p.Width-2*sheetMargin, text, plainType) })
}
