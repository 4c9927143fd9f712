package canvas

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"hash/adler32"
	"hash/crc32"
	"image"
	"io"
	"sync"

	"gonum.org/v1/plot/vg/draw"
)

func (p *Picture) writePNG(w io.Writer) error {
	c := newRaster(p.Width, p.Height)
	p.draw(draw.New(c))
	return encodePNG(w, c.img, [][2]string{{"Title", p.Title}, {"Description", p.Alt}})
}

// encodePNG writes an opaque image with texts (PNG, ISO/IEC 15948). The
// standard encoder has no text chunks; it also tries five filters on each row
// on one core, where flat drawings need none.
func encodePNG(w io.Writer, img *image.RGBA, texts [][2]string) error {
	out := &chunkWriter{w: w}
	_, out.err = io.WriteString(w, "\x89PNG\r\n\x1a\n")
	size := img.Bounds().Size()
	header := make([]byte, 13)
	binary.BigEndian.PutUint32(header[0:], uint32(size.X))
	binary.BigEndian.PutUint32(header[4:], uint32(size.Y))
	header[8], header[9] = 8, 2 // eight bits of red, green and blue
	out.chunk("IHDR", header)
	for _, text := range texts {
		if text[1] != "" {
			// Keyword, not compressed, no language, no translated keyword, UTF-8.
			out.chunk("iTXt", []byte(text[0]+"\x00\x00\x00\x00\x00"+text[1]))
		}
	}
	// The upper and the lower half are compressed in parallel. A flushed
	// deflate stream can be followed by another.
	var halves [2]strip
	var wait sync.WaitGroup
	for i := range halves {
		wait.Go(func() {
			halves[i].compress(img, i*size.Y/2, (i+1)*size.Y/2, i == len(halves)-1)
		})
	}
	wait.Wait()
	sum := uint32(1) // Adler-32 of nothing
	for i := range halves {
		if halves[i].err != nil {
			return halves[i].err
		}
		sum = combineAdler32(sum, halves[i].sum, halves[i].length)
	}
	out.chunk("IDAT", []byte{0x78, 0x01}) // zlib, fastest
	for i := range halves {
		out.chunk("IDAT", halves[i].data.Bytes())
	}
	out.chunk("IDAT", binary.BigEndian.AppendUint32(nil, sum))
	out.chunk("IEND", nil)
	return out.err
}

// strip is some compressed rows of an image.
type strip struct {
	data   bytes.Buffer
	sum    uint32 // Adler-32 of the rows before compression
	length int    // their bytes
	err    error
}

func (s *strip) compress(img *image.RGBA, top, bottom int, last bool) {
	z, err := flate.NewWriter(&s.data, flate.BestSpeed)
	if err != nil {
		s.err = err
		return
	}
	width := img.Bounds().Dx()
	row := make([]byte, 1+3*width) // the first byte is the filter: none
	sum := adler32.New()
	for y := top; y < bottom; y++ {
		pixels := img.Pix[y*img.Stride:][:4*width]
		for from, to := 0, 1; to < len(row); from, to = from+4, to+3 {
			row[to], row[to+1], row[to+2] = pixels[from], pixels[from+1], pixels[from+2]
		}
		sum.Write(row) // a hash does not fail
		if _, err := z.Write(row); err != nil {
			s.err = err
			return
		}
	}
	s.sum, s.length = sum.Sum32(), (bottom-top)*len(row)
	if last {
		s.err = z.Close()
	} else {
		s.err = z.Flush()
	}
}

// combineAdler32 is the Adler-32 (RFC 1950) of two byte strings in sequence, from
// that of each and the length of the second: a is one more than the sum of the
// bytes, b the sum of the a's, both modulo 65521.
func combineAdler32(first, second uint32, length int) uint32 {
	const base = 65521
	n := uint64(length) % base
	a1, b1 := uint64(first&0xffff), uint64(first>>16)
	a2, b2 := uint64(second&0xffff), uint64(second>>16)
	a := (a1 + a2 + base - 1) % base
	b := (b1 + b2 + n*(a1+base-1)) % base
	return uint32(b<<16 | a)
}

// chunkWriter writes the chunks of a PNG and keeps the first error.
type chunkWriter struct {
	w   io.Writer
	err error
}

func (c *chunkWriter) chunk(kind string, data []byte) {
	if c.err != nil {
		return
	}
	whole := make([]byte, 0, len(data)+12)
	whole = binary.BigEndian.AppendUint32(whole, uint32(len(data)))
	whole = append(append(whole, kind...), data...)
	whole = binary.BigEndian.AppendUint32(whole, crc32.ChecksumIEEE(whole[4:]))
	_, c.err = c.w.Write(whole)
}
