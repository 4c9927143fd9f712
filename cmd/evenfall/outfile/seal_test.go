package outfile

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func pngContent(w io.Writer) error { return png.Encode(w, image.NewGray(image.Rect(0, 0, 4, 3))) }

func zipContent(w io.Writer) error {
	z := zip.NewWriter(w)
	part, err := z.Create("cloth.csv")
	if err != nil {
		return err
	}
	io.WriteString(part, "lx,0,1\n")
	return z.Close()
}

var contents = map[string]func(io.Writer) error{
	"report.html": text("<!doctype html>\n<p>report</p>\n"), "report.htm": text("<p>report</p>\n"), "report.md": text("# Report\n"),
	"report.json": text("{\n  \"schema\": \"x\"\n}\n"), "map.svg": text("<svg></svg>\n"), "map.pdf": text("%PDF-1.3\n%%EOF\n"),
	"lamps-solved.csv": text("name,kind\nkey,point\n"), "map.png": pngContent, "hand.zip": zipContent,
}

func sealed(t *testing.T, name string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Sealed(name, contents[name])(&b); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return b.Bytes()
}

// A mark holds any change of the file, and the file is still one of its format.
func TestSeal(t *testing.T) {
	for name, content := range contents {
		whole := sealed(t, name)
		if err := Check(whole); err != nil {
			t.Errorf("%s as it was written: %v", name, err)
		}
		for i := range whole {
			changed := bytes.Clone(whole)
			if changed[i] ^= 1; Check(changed) == nil {
				t.Errorf("%s: a change of byte %d is not seen: %q", name, i, whole[i])
			}
		}
		for _, changed := range [][]byte{append(bytes.Clone(whole), "more"...), append([]byte("more"), whole...), whole[1:], whole[:len(whole)-1]} {
			if Check(changed) == nil {
				t.Errorf("%s: added or cut bytes are not seen", name)
			}
		}
		var plain bytes.Buffer
		content(&plain)
		if err := Check(plain.Bytes()); !errors.Is(err, ErrNotOurs) {
			t.Errorf("%s without a mark: %v", name, err)
		}
	}
	if _, err := png.Decode(bytes.NewReader(sealed(t, "map.png"))); err != nil {
		t.Error(err)
	}
	if z, err := zip.NewReader(bytes.NewReader(sealed(t, "hand.zip")), int64(len(sealed(t, "hand.zip")))); err != nil || !strings.HasPrefix(z.Comment, markText) {
		t.Error(err)
	}
	var fields map[string]string
	if err := json.Unmarshal(sealed(t, "report.json"), &fields); err != nil || len(fields) != 2 {
		t.Errorf("%v, %v", fields, err)
	}
}

// What somebody else wrote, or changed, stays.
func TestReplace(t *testing.T) {
	folder := t.TempDir()
	for name, content := range contents {
		path := filepath.Join(folder, name)
		os.WriteFile(path, []byte("my own\n"), 0o666)
		if err := Replace(path, false, content); !errors.Is(err, ErrNotOurs) || !strings.Contains(err.Error(), "--force") {
			t.Errorf("%s of somebody: %v", name, err)
		}
		if got, _ := os.ReadFile(path); string(got) != "my own\n" {
			t.Errorf("%s of somebody is %q", name, got)
		}
		for range 2 { // then it is ours
			if err := Replace(path, os.Remove(path) == nil, content); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		if err := Replace(path, false, content); err != nil {
			t.Errorf("%s as we wrote it: %v", name, err)
		}
		mine := append(sealed(t, name), "a remark"...)
		os.WriteFile(path, mine, 0o666)
		if err := Replace(path, false, content); !errors.Is(err, ErrChanged) {
			t.Errorf("%s with a remark: %v", name, err)
		}
		if err := Replace(path, true, content); err != nil {
			t.Errorf("%s by force: %v", name, err)
		}
		if got, _ := os.ReadFile(path); !bytes.Equal(got, sealed(t, name)) {
			t.Errorf("%s by force is %q", name, got)
		}
	}
}
