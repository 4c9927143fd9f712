package main

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"
)

const (
	mainXML = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	relsXML = `xmlns="http://schemas.openxmlformats.org/package/2006/relationships"`
	office  = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"

	sheetName  = "xl/worksheets/sheet1.xml"
	textsName  = "xl/sharedStrings.xml"
	stylesName = "xl/styles.xml"
	bookName   = "xl/workbook.xml"
)

// worksheet is a sheet of nine readings with more rows after them.
func worksheet(more string) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<worksheet %s><sheetData><row r="1"><c t="str"><v>x (m)</v></c><c t="str"><v>y (m)</v></c><c t="str"><v>E (lx)</v></c></row>`, mainXML)
	for i := range 9 {
		fmt.Fprintf(&b, `<row><c><v>%d</v></c><c><v>%d</v></c><c><v>%d</v></c></row>`, i%3, i/3, 500+i)
	}
	return b.String() + more + `</sheetData></worksheet>`
}

// rows is a row n times, each with its number in place of #.
func rows(n int, row string) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.ReplaceAll(row, "#", fmt.Sprint(i+11)))
	}
	return b.String()
}

// hostileBook is a workbook of one sheet, some of whose parts are others.
func hostileBook(parts map[string]string) []byte {
	all := map[string]string{
		"[Content_Types].xml": `<Types/>`,
		bookName:              fmt.Sprintf(`<workbook %s xmlns:r="%s"><sheets><sheet name="S" sheetId="1" r:id="a"/></sheets></workbook>`, mainXML, office),
		sheetName:             worksheet(""),
	}
	relations := fmt.Sprintf(`<Relationships %s><Relationship Id="a" Type="%s/worksheet" Target="worksheets/sheet1.xml"/>`, relsXML, office)
	for name, content := range parts {
		all[name] = content
		switch name {
		case textsName:
			relations += fmt.Sprintf(`<Relationship Id="b" Type="%s/sharedStrings" Target="sharedStrings.xml"/>`, office)
		case stylesName:
			relations += fmt.Sprintf(`<Relationship Id="c" Type="%s/styles" Target="styles.xml"/>`, office)
		}
	}
	all["xl/_rels/workbook.xml.rels"] = relations + `</Relationships>`
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	for name, content := range all {
		w, err := z.Create(name)
		must(err)
		_, err = w.Write([]byte(content))
		must(err)
	}
	must(z.Close())
	return out.Bytes()
}

// overlapping lists one part of a workbook many times.
// Source: .ZIP file format, APPNOTE 6.3, 4.3.12 and 4.3.16, the lists at the end.
func overlapping(times int) []byte {
	book := hostileBook(map[string]string{"q00000": strings.Repeat(" ", 1<<20)})
	end := bytes.LastIndex(book, []byte("PK\x05\x06"))
	start := int(binary.LittleEndian.Uint32(book[end+16:]))
	list := bytes.Clone(book[start:end])
	at := bytes.Index(list, []byte("q00000")) - 46
	entry := list[at:]
	if next := bytes.Index(entry[4:], []byte("PK\x01\x02")); next >= 0 {
		entry = entry[:next+4]
	}
	entry = bytes.Clone(entry)
	for i := range times - 1 {
		list = append(list, bytes.Replace(entry, []byte("q00000"), fmt.Appendf(nil, "q%05d", i+1), 1)...)
	}
	tail := bytes.Clone(book[end:])
	count := binary.LittleEndian.Uint16(tail[10:]) + uint16(times-1)
	binary.LittleEndian.PutUint16(tail[8:], count)
	binary.LittleEndian.PutUint16(tail[10:], count)
	binary.LittleEndian.PutUint32(tail[12:], uint32(len(list)))
	return append(append(bytes.Clone(book[:start]), list...), tail...)
}

// No workbook of less than a megabyte takes more than 200 MB or three seconds,
// whatever is in it. With the race detector, which takes several times as much, only
// what is said of it counts.
func TestHostileWorkbooks(t *testing.T) {
	const mega = 1 << 20
	texts := func(inside string) string { return "<sst " + mainXML + ">" + inside + "</sst>" }
	styles := func(inside string) string { return "<styleSheet " + mainXML + ">" + inside + "</styleSheet>" }
	sheet := func(more string) map[string]string { return map[string]string{sheetName: worksheet(more)} }
	shared := func(text string, row string) map[string]string {
		return map[string]string{textsName: texts("<si><t>" + text + "</t></si>"), sheetName: worksheet(rows(20_000, row))}
	}
	const full = `<row r="#"><c r="A#"><v>1.5</v></c><c r="B#"><v>2</v></c><c r="C#"><v>500</v></c></row>`
	whole, tooMuch := "", "unpacks to more than can be read"
	for name, c := range map[string]struct {
		book func() []byte
		want string // of the error; whole is read
	}{
		"bomb": {func() []byte { return hostileBook(sheet(strings.Repeat(" ", 60*mega))) }, tooMuch},
		"bomb of pictures": {func() []byte {
			return hostileBook(map[string]string{"a": strings.Repeat(" ", 60*mega), "b": strings.Repeat(" ", 60*mega)})
		}, tooMuch},
		"spaces":     {func() []byte { return hostileBook(sheet(strings.Repeat(" ", 10*mega))) }, "a text of more than a megabyte"},
		"comment":    {func() []byte { return hostileBook(sheet("<!--" + strings.Repeat("x", 10*mega) + "-->")) }, "a text of more than a megabyte"},
		"attribute":  {func() []byte { return hostileBook(sheet(`<row a="` + strings.Repeat("x", 10*mega) + `"/>`)) }, "a text of more than a megabyte"},
		"attributes": {func() []byte { return hostileBook(sheet("<row " + rows(300_000, `a#="" `) + "/>")) }, "a text of more than a megabyte"},
		"long value": {func() []byte {
			return hostileBook(sheet("<row><c><v>" + strings.Repeat("1", 900_000) + "</v></c></row>"))
		}, "a text of more than 32,767 characters"},
		"many values": {func() []byte {
			return hostileBook(sheet("<row><c>" + strings.Repeat("<v>1</v>", 600_000) + "</c></row>"))
		}, "a text of more than 32,767 characters"},
		"deep": {func() []byte {
			return hostileBook(sheet(strings.Repeat("<a>", 1*mega) + strings.Repeat("</a>", 1*mega)))
		}, whole},
		"tags":       {func() []byte { return hostileBook(sheet(strings.Repeat("<a/>", 1_500_000))) }, whole},
		"rows":       {func() []byte { return hostileBook(sheet(rows(70_000, full))) }, whole},
		"empty rows": {func() []byte { return hostileBook(sheet(strings.Repeat("<row/>", 400_000))) }, whole},
		"wide row": {func() []byte {
			return hostileBook(sheet("<row>" + strings.Repeat("<c><v>1</v></c>", 900_000) + "</row>"))
		}, "cells out of order"},
		"row repeated":  {func() []byte { return hostileBook(sheet(strings.Repeat(strings.ReplaceAll(full, "#", "11"), 20))) }, "rows out of order"},
		"row far below": {func() []byte { return hostileBook(sheet(strings.ReplaceAll(full, "#", "1048576"))) }, whole},
		"row beyond":    {func() []byte { return hostileBook(sheet(`<row r="1048577"/>`)) }, "rows out of order"},
		"column beyond": {func() []byte { return hostileBook(sheet(`<row r="11"><c r="XFE11"><v>1</v></c></row>`)) }, `a cell with the name "XFE11"`},
		"last column":   {func() []byte { return hostileBook(sheet(rows(40_000, `<row r="#"><c r="XFD#"><v>1</v></c></row>`))) }, "no more than the 3 cells"},
		"shared texts": {func() []byte {
			return hostileBook(map[string]string{textsName: texts(strings.Repeat("<si/>", 500_000))})
		}, whole},
		"more shared texts": {func() []byte {
			return hostileBook(map[string]string{textsName: texts(strings.Repeat("<si><t>a</t></si>", 600_000))})
		}, "more texts than can be read"},
		"long shared text": {func() []byte { return hostileBook(shared(strings.Repeat("a", 200_000), full)) }, "a text of more than 32,767 characters"},
		"text of many cells": {func() []byte {
			return hostileBook(shared(strings.Repeat("a", 32_000), `<row><c t="s"><v>0</v></c><c t="s"><v>0</v></c></row>`))
		}, "position"},
		"shared text missing": {func() []byte { return hostileBook(sheet(`<row><c t="s"><v>7</v></c></row>`)) }, "a cell whose text is missing"},
		"styles": {func() []byte {
			return hostileBook(map[string]string{stylesName: styles("<cellXfs>" + strings.Repeat("<xf/>", 400_000) + "</cellXfs>")})
		}, whole},
		"a million styles": {func() []byte {
			return hostileBook(map[string]string{stylesName: styles("<cellXfs>" + strings.Repeat("<xf/>", 1_000_000) + "</cellXfs>")})
		}, tooMuch},
		"deep styles": {func() []byte {
			return hostileBook(map[string]string{stylesName: styles(strings.Repeat("<fonts>", 100_000) + strings.Repeat("</fonts>", 100_000))})
		}, whole},
		"merged cells": {func() []byte {
			return hostileBook(map[string]string{sheetName: strings.Replace(worksheet(""), "</sheetData>", "</sheetData>"+strings.Repeat(`<mergeCell ref="A1:B2"/>`, 200_000), 1)})
		}, whole},
		"entities": {func() []byte {
			return hostileBook(map[string]string{sheetName: `<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>` + worksheet("<row><c><v>&b;</v></c></row>")})
		}, "invalid character entity"},
		"overlapping parts": {func() []byte { return overlapping(12) }, "parts that overlap"},
		"two sheets in one part": {func() []byte {
			sheets := strings.Repeat(`<sheet name="S" sheetId="1" r:id="a"/>`, 200)
			return hostileBook(map[string]string{bookName: fmt.Sprintf(`<workbook %s xmlns:r="%s"><sheets>%s</sheets></workbook>`, mainXML, office, sheets)})
		}, "two sheets in one part"},
		"without an end": {func() []byte {
			return hostileBook(map[string]string{sheetName: strings.TrimSuffix(worksheet(""), "</worksheet>")})
		}, "it ends before its end tag"},
	} {
		t.Run(name, func(t *testing.T) {
			book := c.book()
			if len(book) > mega {
				t.Fatalf("%d bytes, want less than a megabyte", len(book))
			}
			path := filepath.Join(t.TempDir(), "book.xlsx")
			must(os.WriteFile(path, book, 0o666))
			command := exec.CommandContext(t.Context(), "evenfall", "surface", path)
			var output bytes.Buffer
			command.Stdout, command.Stderr = &output, &output
			must(command.Start())
			peak := peakMemory(command.Process.Pid)
			err := command.Wait()
			status := command.ProcessState.ExitCode()
			if c.want == whole && (status > exitOutside || !bytes.Contains(output.Bytes(), []byte("spread"))) || c.want != whole && (status != exitNothing || !bytes.Contains(output.Bytes(), []byte(c.want))) {
				t.Errorf("status %d, %v: %.300s\nwant %q", status, err, output.String(), c.want)
			}
			if raceDetector() {
				return
			}
			if used := command.ProcessState.UserTime() + command.ProcessState.SystemTime(); used > 3*time.Second {
				t.Errorf("took %v", used)
			}
			if peak := <-peak; peak > 200<<10 {
				t.Errorf("took %d MB", peak>>10)
			}
		})
	}
}

// raceDetector tells whether this was built with go test -race.
func raceDetector() bool {
	build, _ := debug.ReadBuildInfo()
	return slices.Contains(build.Settings, debug.BuildSetting{Key: "-race", Value: "true"})
}

// peakMemory is the most memory that a running process took, in kilobytes, once it
// has ended; 0 where the system does not say. What a process ended with has the
// memory of this one in it.
func peakMemory(pid int) <-chan int {
	out := make(chan int, 1)
	go func() {
		most := 0
		for {
			status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
			_, peak, there := strings.Cut(string(status), "VmHWM:")
			if err != nil || !there {
				out <- most
				return
			}
			var now int
			fmt.Sscan(peak, &now)
			most = max(most, now)
			time.Sleep(3 * time.Millisecond)
		}
	}()
	return out
}
