package table_test

import (
	"fmt"
	"strings"

	"evenfall/photometry/table"
)

func ExampleReadColumns() {
	const file = `# area: 0.3,0.2,4.5,2.2
label;x (m);E (lx)
A1;0,3;1250
A2;0,9;116,5 fc
`
	fields := []table.Field{{Name: "label"}, {Name: "x", Units: []string{"m", "ft"}}, {Name: "E", Units: []string{"lx", "fc"}}}
	sheets, err := table.ReadColumns(strings.NewReader(file), "cloth.csv", func(notes []table.Note, header []table.Cell) ([]table.Want, error) {
		wants := make([]table.Want, len(header))
		for i, h := range header {
			if at, _, _ := table.Match(fields, h.Text); at > 0 {
				wants[i] = table.Number
			}
		}
		return wants, nil
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := sheets[0]
	fmt.Println(s.Dialect)
	fmt.Println(s.Notes[0].Key, "=", s.Notes[0].Value)
	fmt.Println(s.Columns[1].Num)
	for _, odd := range s.Columns[2].Odd {
		fmt.Println(s.Error(odd.Cell, "a plain number of lux"))
	}
	// Output:
	// UTF-8, LF, semicolons, decimal comma (from "0,3" on line 3)
	// area = 0.3,0.2,4.5,2.2
	// [0.3 0.9]
	// cloth.csv:4:3: found "116,5 fc", expected a plain number of lux
}

type gel struct {
	Name  string   `csv:"name"`
	Mired float64  `csv:"mired"`
	Width *float64 `csv:"width" unit:"m"`
}

func ExampleReadTyped() {
	gels, err := table.ReadTyped[gel](strings.NewReader("Name,Mired,width (in),color\nhalf warm,65,24,\n"), "gels.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range gels.Rows {
		fmt.Println(r.Line, r.Value.Name, r.Value.Mired, *r.Value.Width)
	}
	for _, w := range gels.Warnings {
		fmt.Println(w)
	}
	// Output:
	// 2 half warm 65 0.6096
	// gels.csv:1:4: unknown column "color", not read; the nearest known one is "name"
}

func ExampleParseNumber() {
	for _, text := range []string{"1.25", "1,25", "1.234,5", "1,234"} {
		v, err := table.ParseNumber(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(v)
	}
	// Output:
	// 1.25
	// 1.25
	// 1234.5
	// found "1,234", expected 1234 or 1,2340, to settle whether the comma marks thousands or decimals (one cell that shows it settles the whole file)
}

func ExampleParseLength() {
	for _, text := range []string{"2.5", "12 ft", `8' 6"`} {
		v, _ := table.ParseLength(text, "m")
		fmt.Printf("%.4f m\n", v)
	}
	// Output:
	// 2.5000 m
	// 3.6576 m
	// 2.5908 m
}
