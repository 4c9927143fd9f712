package table

import (
	"bufio"
	"bytes"
	"io"

	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// The encodings of a file, as Dialect names them.
const (
	encodingUTF8    = "UTF-8"
	encodingMarked  = "UTF-8 with byte-order mark"
	encodingUTF16LE = "UTF-16 LE"
	encodingUTF16BE = "UTF-16 BE"
	encodingWindows = "Windows-1252"
	encodingXLSX    = "xlsx"
)

// peekSize is how much of a file is examined to find its kind.
const peekSize = 4096

// decodeText returns a reader of the file's text, in UTF-8 where the first bytes say
// the encoding; cells in Windows-1252 are recognized when they are read.
func decodeText(in *bufio.Reader, head []byte) (text io.Reader, encoding string) {
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		in.Discard(3) // these bytes are in the buffer
		return in, encodingMarked
	case bytes.HasPrefix(head, []byte("\xff\xfe")), nulsAt(head, 1):
		return decode16(in, unicode.LittleEndian), encodingUTF16LE
	case bytes.HasPrefix(head, []byte("\xfe\xff")), nulsAt(head, 0):
		return decode16(in, unicode.BigEndian), encodingUTF16BE
	}
	return in, encodingUTF8
}

// openText opens the text of a file that begins with head; what is no text is an error.
func openText(in *bufio.Reader, head []byte, file string) (text *bufio.Reader, encoding string, err error) {
	decoded, encoding := decodeText(in, head)
	if encoding == encodingUTF8 || encoding == encodingMarked {
		if what := describeForeign(head); what != "" {
			return nil, "", Errors{{File: file, Found: what, InWords: true, Expected: tableExpected}}
		}
	}
	return bufio.NewReaderSize(decoded, bufferSize), encoding, nil
}

func decode16(in io.Reader, order unicode.Endianness) io.Reader {
	return transform.NewReader(in, unicode.UTF16(order, unicode.UseBOM).NewDecoder())
}

// nulsAt reports whether head is UTF-16 without a byte-order mark beyond
// doubt: most of the bytes at even (0) or odd (1) places are NUL, and none of
// the others.
func nulsAt(head []byte, odd int) bool {
	nuls, pairs := 0, len(head)/2
	for i := range pairs {
		if head[2*i+odd] == 0 {
			nuls++
		}
		if head[2*i+1-odd] == 0 {
			return false
		}
	}
	return pairs >= 2 && nuls*10 >= pairs*7
}

// signature is the first bytes of a kind of file.
type signature struct{ start, what string }

var signatures = []signature{
	{"\x89PNG\r\n\x1a\n", "a PNG picture"},
	{"\xff\xd8\xff", "a JPEG picture"},
	{"GIF8", "a GIF picture"},
	{"II*\x00", "a TIFF picture"},
	{"MM\x00*", "a TIFF picture"},
	{"%PDF-", "a PDF document"},
	{"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old .xls workbook, or one locked with a password"},
	{"\x1f\x8b", "a gzip archive"},
	{"7z\xbc\xaf", "a 7z archive"},
	{"Rar!", "a RAR archive"},
	{"{\\rtf", "a text document (RTF)"},
	{"<!DOCTYPE", "a web page"},
	{"<html", "a web page"},
	{"<HTML", "a web page"},
	{"<?xml", "an XML file"},
	{"{\"", "a JSON file"},
}

const zipStart = "PK\x03\x04"

const tableExpected = "a table: CSV text or an .xlsx workbook"

// describeForeign describes a file that is not text, "" for text.
func describeForeign(head []byte) string {
	for _, s := range signatures {
		if bytes.HasPrefix(bytes.TrimLeft(head, " \r\n\t"), []byte(s.start)) {
			return s.what
		}
	}
	control := 0
	for _, c := range head {
		switch {
		case c == 0:
			return "a binary file"
		case c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f':
			control++
		}
	}
	if control*10 > len(head) {
		return "a binary file"
	}
	return ""
}
