package lm63

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decodeText returns the file's text with line feeds for line ends. The
// standard asks for ASCII; UTF-8 and UTF-16 with a byte-order mark are
// understood too, and anything that is not valid UTF-8 is read as Windows-1252,
// which includes the letters of Latin-1.
func decodeText(raw []byte) string {
	var text string
	switch {
	case bytes.HasPrefix(raw, []byte("\xff\xfe")), bytes.HasPrefix(raw, []byte("\xfe\xff")):
		// A half character at the end becomes U+FFFD; this decoder never fails.
		out, _ := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(raw)
		text = string(out)
	case utf8.Valid(raw):
		text = strings.TrimPrefix(string(raw), "\ufeff")
	default:
		out, _ := charmap.Windows1252.NewDecoder().Bytes(raw)
		text = string(out)
	}
	if strings.Contains(text, "\r") {
		text = strings.ReplaceAll(text, "\r\n", "\n")
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	return text
}
