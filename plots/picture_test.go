package plots

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"pgregory.net/rapid"
)

const awkward = "Cloth <b>\"left\"</b> & 'right' \x00\n\t🎬 ±1/4 緑"

// sketch is a small picture with everything that a canvas can draw.
func sketch() *Picture { return NewPicture(awkward, "Shows "+awkward, 300, 200, paintSketch) }

func paintSketch(c draw.Canvas) {
	c.SetColor(color.RGBA{0, 0, 255, 255})
	c.Fill(vg.Rectangle{Min: vg.Point{X: 10, Y: 10}, Max: vg.Point{X: 60, Y: 40}}.Path())
	c.StrokeLines(draw.LineStyle{Color: color.NRGBA{255, 0, 0, 128}, Width: 3, Dashes: []vg.Length{5, 2}, DashOffs: 1},
		[]vg.Point{{X: 0, Y: 100}, {X: 300, Y: 120}})
	var p vg.Path
	p.Move(vg.Point{X: 200, Y: 100})
	p.QuadTo(vg.Point{X: 220, Y: 160}, vg.Point{X: 240, Y: 100})
	p.CubeTo(vg.Point{X: 250, Y: 80}, vg.Point{X: 210, Y: 70}, vg.Point{X: 200, Y: 80})
	p.Close()
	c.SetColor(color.RGBA{0, 128, 0, 255})
	c.Fill(p)
	for _, s := range []marker{dot, speck, open, upward, downward, diamond, struck, frame} {
		paintMarker(c, s, vg.Point{X: 20 + 30*vg.Length(s), Y: 150})
	}
	turned := style(14, false, ink, draw.XCenter, draw.YCenter)
	turned.Rotation = 1.5707963
	c.FillText(turned, vg.Point{X: 280, Y: 100}, "turned − text")
	drawWithHalo(c, style(16, true, paper, draw.XCenter, draw.YCenter), vg.Point{X: 100, Y: 60}, awkward, ink, 2)
	img := image.NewPaletted(image.Rect(0, 0, 8, 4), color.Palette{color.RGBA{9, 9, 9, 255}, color.RGBA{200, 100, 0, 255}})
	img.Pix[3] = 1
	c.DrawImage(vg.Rectangle{Min: vg.Point{X: 150, Y: 20}, Max: vg.Point{X: 190, Y: 40}}, img)
}

func render(t testing.TB, p *Picture, format string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := p.Write(&b, format); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The standard decoder checks every checksum of the file.
func TestPNG(t *testing.T) {
	data := render(t, sketch(), "png")
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds() != image.Rect(0, 0, 300, 200) {
		t.Errorf("bounds %v", img.Bounds())
	}
	for _, test := range []struct {
		x, y int
		want color.NRGBA
	}{
		{5, 5, color.NRGBA{255, 255, 255, 255}},   // paper
		{30, 180, color.NRGBA{0, 0, 255, 255}},    // the rectangle, up from the lower edge
		{9, 180, color.NRGBA{255, 255, 255, 255}}, // just left of it
		{59, 160, color.NRGBA{0, 0, 255, 255}},    // its corner
		{152, 178, color.NRGBA{9, 9, 9, 255}},     // the image
	} {
		if got := color.NRGBAModel.Convert(img.At(test.x, test.y)); got != color.Color(test.want) {
			t.Errorf("%v at (%d, %d), want %v", got, test.x, test.y, test.want)
		}
	}
	texts := textChunks(t, data)
	want := "Cloth <b>\"left\"</b> & 'right' 🎬 ±1/4 緑"
	if texts["Title"] != want || texts["Description"] != "Shows "+want {
		t.Errorf("texts %q", texts)
	}
}

// textChunks are the keywords and texts of a PNG's iTXt chunks.
func textChunks(t testing.TB, data []byte) map[string]string {
	t.Helper()
	out := map[string]string{}
	for at := 8; at+8 <= len(data); {
		n := int(binary.BigEndian.Uint32(data[at:]))
		if string(data[at+4:at+8]) == "iTXt" {
			key, rest, _ := strings.Cut(string(data[at+8:at+8+n]), "\x00")
			if rest[:4] != "\x00\x00\x00\x00" {
				t.Errorf("chunk %q is compressed or has a language", key)
			}
			out[key] = rest[4:]
		}
		at += 12 + n
	}
	return out
}

// An SVG is one well-formed element with a title, a text alternative and ids of
// its own.
func TestSVG(t *testing.T) {
	p := sketch()
	data := render(t, p, "svg")
	doc := parseSVG(t, data)
	if doc.viewBox != "0 0 300 200" {
		t.Errorf("viewBox %q", doc.viewBox)
	}
	if doc.title != p.Title || doc.desc != p.Alt {
		t.Errorf("title %q and text %q, want %q and %q", doc.title, doc.desc, p.Title, p.Alt)
	}
	if len(doc.ids) != 3 || doc.labelledby != doc.ids[1]+" "+doc.ids[2] {
		t.Errorf("ids %v, labelled by %q", doc.ids, doc.labelledby)
	}
	if !slices.Contains(doc.texts, "turned − text") {
		t.Errorf("texts %q", doc.texts)
	}
	other := NewPicture("Another", "text", 10, 10, func(draw.Canvas) {})
	if ids := parseSVG(t, render(t, other, "svg")).ids; ids[0] == doc.ids[0] {
		t.Errorf("two pictures have the id %q", ids[0])
	}
	p.ID = "mine"
	if ids := parseSVG(t, render(t, p, "svg")).ids; !slices.Equal(ids, []string{"mine", "mine-title", "mine-desc"}) {
		t.Errorf("ids %v", ids)
	}
}

// svgDoc is what the tests look at in an SVG.
type svgDoc struct {
	viewBox, labelledby, title, desc string
	ids, texts                       []string
}

var imageData = regexp.MustCompile(`data:image/png;base64,[^"]*`)

func parseSVG(t testing.TB, data []byte) (doc svgDoc) {
	t.Helper()
	// The letters of an image's data may spell anything.
	if plain := imageData.ReplaceAll(data, nil); bytes.Contains(plain, []byte("NaN")) || bytes.Contains(plain, []byte("Inf")) {
		t.Error("an SVG has a number that is none")
	}
	d := xml.NewDecoder(bytes.NewReader(data))
	var inside []string
	text := ""
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if len(inside) == 0 && e.Name.Local != "svg" {
				t.Errorf("the root is %s", e.Name.Local)
			}
			inside, text = append(inside, e.Name.Local), ""
			for _, a := range e.Attr {
				switch a.Name.Local {
				case "id":
					doc.ids = append(doc.ids, a.Value)
				case "viewBox":
					doc.viewBox = a.Value
				case "aria-labelledby":
					doc.labelledby = a.Value
				}
			}
		case xml.CharData:
			text += string(e)
		case xml.EndElement:
			switch e.Name.Local {
			case "title":
				doc.title = text
			case "desc":
				doc.desc = text
			case "text":
				doc.texts = append(doc.texts, text)
			}
			inside = inside[:len(inside)-1]
		}
	}
	return doc
}

// A PDF is one page with a document title and subject, in UTF-16 as PDF wants
// it (ISO 32000-1, 7.9.2.2).
func TestPDF(t *testing.T) {
	p := NewPicture("Gr\u00fcn \u2212 cloth", "Shows a cloth", 300, 200, paintSketch)
	data := render(t, p, "pdf")
	if !bytes.HasPrefix(data, []byte("%PDF-")) || !bytes.Contains(data, []byte("%%EOF")) {
		t.Fatal("not a PDF")
	}
	utf := func(s string) []byte {
		out := []byte{0xfe, 0xff}
		for _, u := range utf16.Encode([]rune(s)) {
			out = binary.BigEndian.AppendUint16(out, u)
		}
		return out
	}
	for _, want := range [][]byte{utf(p.Title), utf(p.Alt), []byte("/Count 1"), []byte("/MediaBox [0 0 150.00 100.00]")} {
		if !bytes.Contains(data, want) {
			t.Errorf("%q is missing", want)
		}
	}
}

func TestUnknownFormat(t *testing.T) {
	err := sketch().Write(io.Discard, "bmp")
	if err == nil || !strings.Contains(err.Error(), "bmp") || !strings.Contains(err.Error(), "png, svg, pdf") {
		t.Errorf("error %v", err)
	}
}

// short is a writer that fails after some bytes.
type short struct{ left int }

var errFull = errors.New("disk full")

func (s *short) Write(b []byte) (int, error) {
	if len(b) > s.left {
		n := s.left
		s.left = 0
		return n, errFull
	}
	s.left -= len(b)
	return len(b), nil
}

func TestWriterErrors(t *testing.T) {
	for _, format := range Formats {
		for _, space := range []int{0, 20, 500} {
			if err := sketch().Write(&short{space}, format); !errors.Is(err, errFull) {
				t.Errorf("%s with space for %d bytes: %v", format, space, err)
			}
		}
	}
}

func TestWrapAndFit(t *testing.T) {
	s := style(16, false, ink, 0, 0)
	f := face(s)
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-zA-Z]{1,30}`)).Draw(t, "words")
		width := vg.Length(rapid.Float64Range(60, 600).Draw(t, "width"))
		lines := wrap(s, strings.Join(words, " "), width)
		for i, line := range lines {
			if f.Width(line) > width && strings.Contains(line, " ") {
				t.Fatalf("line %d is wider than %v", i, width)
			}
		}
		if got := fit(s, strings.Join(words, " "), width); f.Width(got) > width {
			t.Fatalf("%q is wider than %v", got, width)
		}
	})
}
