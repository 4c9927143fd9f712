package table

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// longStream writes a log of readings: n rows of x,y,lux,CCT,Duv.
func longStream(n int) []byte {
	var b bytes.Buffer
	b.Grow(n * 32)
	random := rand.New(rand.NewPCG(1, 2))
	b.WriteString("x (m),y (m),lux,CCT,Duv\n")
	for range n {
		fmt.Fprintf(&b, "%.3f,%.3f,%.1f,%.0f,%.4f\n",
			random.Float64()*5, random.Float64()*3, 900+random.Float64()*400,
			3000+random.Float64()*3000, random.Float64()*0.02-0.01)
	}
	return b.Bytes()
}

func allNumbers(_ []Note, header []Cell) ([]Want, error) {
	wants := make([]Want, len(header))
	for i := range wants {
		wants[i] = Number
	}
	return wants, nil
}

// parseOnly is the yardstick: the standard library's reader and parser over
// the same bytes, keeping nothing.
func parseOnly(data []byte) error {
	r := csv.NewReader(bytes.NewReader(data))
	r.ReuseRecord = true
	if _, err := r.Read(); err != nil {
		return err
	}
	for {
		record, err := r.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		for _, cell := range record {
			if _, err := strconv.ParseFloat(cell, 64); err != nil {
				return err
			}
		}
	}
}

// BenchmarkReadColumns reads a million rows into five columns. The metric
// “ratio” is its time over that of the yardstick, measured in turns.
func BenchmarkReadColumns(b *testing.B) {
	data := longStream(1_000_000)
	unsized := func() io.Reader { return io.MultiReader(bytes.NewReader(data)) }
	sized := func() io.Reader { return bytes.NewReader(data) }
	// What a program writes that quotes every cell.
	quotes := bytes.ReplaceAll(bytes.ReplaceAll(data, []byte(","), []byte(`","`)), []byte("\n"), []byte("\"\n\""))
	quotes = append([]byte(`"`), bytes.TrimSuffix(quotes, []byte(`"`))...)
	quoted := func() io.Reader { return bytes.NewReader(quotes) }
	for _, c := range []struct {
		name string
		from func() io.Reader
	}{
		{"sized", sized},
		{"pipe", unsized},
		{"quoted", quoted},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			var ours, theirs time.Duration
			for b.Loop() {
				start := time.Now()
				sheets, err := ReadColumns(c.from(), "long.csv", allNumbers)
				ours += time.Since(start)
				if err != nil || sheets[0].Rows != 1_000_000 {
					b.Fatal(err)
				}
				b.StopTimer()
				sheets = nil
				runtime.GC()
				start = time.Now()
				if err := parseOnly(data); err != nil {
					b.Fatal(err)
				}
				theirs += time.Since(start)
				runtime.GC()
				b.StartTimer()
			}
			b.ReportMetric(float64(ours)/float64(theirs), "ratio")
		})
	}
}

// BenchmarkReadColumnsText is the same with a column of texts, an odd cell now
// and then, and a decimal comma.
func BenchmarkReadColumnsText(b *testing.B) {
	data := longStream(200_000)
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	for i := range lines {
		note := []string{"key", "fill", "", "back left"}[i%4]
		if i == 0 {
			note = "note"
		}
		lines[i] = strings.ReplaceAll(strings.ReplaceAll(lines[i], ",", ";"), ".", ",") + ";" + note
	}
	german := []byte(strings.Join(lines, "\r\n"))
	b.SetBytes(int64(len(german)))
	b.ReportAllocs()
	for b.Loop() {
		_, err := ReadColumns(bytes.NewReader(german), "long.csv", func(_ []Note, h []Cell) ([]Want, error) {
			return []Want{Number, Number, Number, Number, Number, Text}, nil
		})
		if err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReadWorkbook reads a worksheet of 20,000 rows of numbers.
func BenchmarkReadWorkbook(b *testing.B) {
	f := excelize.NewFile()
	w, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		b.Fatal(err)
	}
	for i := range 20_001 {
		row := []any{float64(i) / 8, float64(i) / 3, 1250 - i%100, 5600, 0.001}
		if i == 0 {
			row = []any{"x (m)", "y (m)", "lux", "CCT", "Duv"}
		}
		at, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := w.SetRow(at, row); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	data, err := f.WriteToBuffer()
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(data.Len()))
	b.ReportAllocs()
	for b.Loop() {
		sheets, err := ReadColumns(bytes.NewReader(data.Bytes()), "long.xlsx", allNumbers)
		if err != nil || sheets[0].Rows != 20_000 {
			b.Fatal(err)
		}
	}
}
