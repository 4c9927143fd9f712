package table

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
)

// Limits on texts: how many cells share at most, and the bytes of all cells together,
// since a text that cells share is short in the file.
const (
	maxSharedTexts = 1 << 19
	maxCellTexts   = 64 << 20
)

var errLongText = errors.New("a text of more than 32,767 characters")

// readTexts reads the texts that cells share.
// Source: ECMA-376 part 1, 18.4 shared string table.
func (c container) readTexts(name string) (texts []string, err error) {
	r, err := c.open(name, maxTexts)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	decoder := xml.NewDecoder(r)
	var t textReader
	for {
		token, err := decoder.RawToken()
		switch {
		case err == io.EOF:
			return nil, errors.New(name + ": it ends before its end tag")
		case err != nil:
			return nil, err
		}
		if err := t.take(token); err != nil {
			return nil, err
		}
		end, ok := token.(xml.EndElement)
		switch {
		case !ok:
		case end.Name.Local == "sst":
			return texts, nil
		case end.Name.Local == "si":
			if len(texts) == maxSharedTexts {
				return nil, errors.New(name + ": more texts than can be read")
			}
			texts = append(texts, unescapeText(string(t.text)))
			t.text = t.text[:0]
		}
	}
}

// textReader collects the text of a cell: its value, or all runs of a formatted text
// without what says how to pronounce it.
type textReader struct {
	text     []byte
	inside   bool
	phonetic bool
}

func (t *textReader) take(token xml.Token) error {
	switch token := token.(type) {
	case xml.StartElement:
		t.at(token.Name.Local, true)
	case xml.EndElement:
		t.at(token.Name.Local, false)
	case xml.CharData:
		if !t.inside || t.phonetic {
			return nil
		}
		if t.text = append(t.text, token...); len(t.text) > mostCellBytes {
			return errLongText
		}
	}
	return nil
}

func (t *textReader) at(element string, start bool) {
	switch element {
	case "t", "v":
		t.inside = start
	case "rPh":
		t.phonetic = start
	}
}

// escaped is a character that XML cannot have, as texts of workbooks write it.
// Source: ECMA-376 part 1, 22.9.2.19 ST_Xstring.
var escaped = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

func unescapeText(text string) string {
	return escaped.ReplaceAllStringFunc(text, func(code string) string {
		c, _ := strconv.ParseUint(code[2:6], 16, 16)
		return string(rune(c))
	})
}
