package plots

import (
	"bytes"
	"flag"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// sameText compares a text with a golden file.
func sameText(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs:\n%s\nwant:\n%s", name, got, want)
	}
}

// samePicture compares a picture with a golden file by pixels. Rounding may
// differ from machine to machine at edges, so a few pixels may be far off and
// the mean must be close: a line moved by a pixel, a color or a number changed
// is more than that.
func samePicture(t *testing.T, name string, p *Picture) {
	t.Helper()
	path := filepath.Join("testdata", name)
	data := render(t, p, "png")
	got := decode(t, data)
	if *update {
		var b bytes.Buffer
		e := png.Encoder{CompressionLevel: png.BestCompression}
		if err := e.Encode(&b, got); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := decode(t, file)
	if got.Bounds() != want.Bounds() {
		t.Fatalf("%s is %v, want %v", name, got.Bounds(), want.Bounds())
	}
	far, sum := 0, 0
	for i := 0; i < len(got.Pix); i += 4 {
		worst := 0
		for k := range 3 {
			d := int(got.Pix[i+k]) - int(want.Pix[i+k])
			worst = max(worst, d, -d)
		}
		sum += worst
		if worst > 48 {
			far++
		}
	}
	n := len(got.Pix) / 4
	if far > n/20000 || sum > n/20 {
		t.Errorf("%s: %d of %d pixels are far off, mean difference %.3f", name, far, n, float64(sum)/float64(n))
	}
}

func decode(t *testing.T, data []byte) *image.NRGBA {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewNRGBA(img.Bounds())
	draw.Draw(out, out.Bounds(), img, image.Point{}, draw.Src)
	return out
}
