package outfile

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// Files that the program writes, but for the sheets that people fill in, have a mark
// with the SHA-256 of all of the file but the mark itself, where their format has room
// for a remark. A file without it, or one that was changed since, is somebody's own.

// markText is what a mark says before its checksum.
const markText = "evenfall sha256 "

// A seal is how a format has its mark: between these texts, before the tail that its
// files end with.
type seal struct {
	before, after, tail string
	chunk               bool // the mark is a chunk of a PNG
}

var seals = map[string]seal{
	".html": {before: "<!-- ", after: " -->\n"},
	".md":   {before: "\n<!-- ", after: " -->\n"},
	".svg":  {before: "<!-- ", after: " -->\n"},
	".pdf":  {before: "%", after: "\n"},
	".csv":  {before: "# ", after: "\n"},
	".json": {before: ",\n  \"checksum\": \"", after: "\"", tail: "\n}\n"},
	".zip":  {}, // the comment of the archive
	".png":  {before: "\x00\x00\x00\x58tEXtComment\x00", tail: "\x00\x00\x00\x00IEND\xaeB`\x82", chunk: true},
}

// seal is a file of a head with its mark and tail.
func (s seal) seal(head []byte) []byte {
	sum := sha256.Sum256(append(bytes.Clone(head), s.tail...))
	out := append(bytes.Clone(head), s.before+markText+hex.EncodeToString(sum[:])...)
	if s.chunk { // Source: PNG, ISO/IEC 15948, 11.3.4.3 tEXt and 5.3 chunk layout
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[len(head)+4:]))
	}
	return append(out, s.after+s.tail...)
}

// Sealed is content with its mark, for a file of a name. A format without room for one
// stays as it is.
func Sealed(name string, content func(io.Writer) error) func(io.Writer) error {
	ending := strings.ToLower(filepath.Ext(name))
	if ending == ".htm" {
		ending = ".html"
	}
	how, known := seals[ending]
	if !known {
		return content
	}
	return func(w io.Writer) error {
		var b bytes.Buffer
		if err := content(&b); err != nil {
			return err
		}
		head, whole := bytes.CutSuffix(b.Bytes(), []byte(how.tail))
		if !whole {
			return fmt.Errorf("%s does not end as its format does", name)
		}
		if ending == ".zip" { // whose list says how long the comment behind it is
			binary.LittleEndian.PutUint16(head[len(head)-2:], uint16(len(markText)+hex.EncodedLen(sha256.Size)))
		}
		_, err := w.Write(how.seal(head))
		return err
	}
}

// Errors of a file that was not written by the program, or was changed since.
var (
	ErrNotOurs = errors.New("was not written by evenfall")
	ErrChanged = errors.New("was changed since evenfall wrote it")
)

// Check returns ErrNotOurs for a file without a mark, and ErrChanged for one whose mark
// is not that of its content.
func Check(content []byte) error {
	err := ErrNotOurs
	for _, how := range seals {
		at := bytes.LastIndex(content, []byte(how.before+markText))
		if at < 0 {
			continue
		}
		if bytes.Equal(content, how.seal(content[:at])) {
			return nil
		}
		err = ErrChanged
	}
	return err
}

// Replace writes a file with its mark. One that is there already is replaced only where
// it is as the program wrote it, or by force.
func Replace(path string, force bool, content func(io.Writer) error) error {
	if !force {
		if err := Replaceable(path); err != nil {
			return err
		}
	}
	return Write(path, Sealed(path, content))
}

// Replaceable returns an error where a file is somebody's own.
func Replaceable(path string) error {
	info, err := os.Lstat(path)
	if err != nil {
		return nil // there is none, or writing it says what is wrong
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s is no regular file and stays", path)
	}
	content, err := os.ReadFile(path)
	if err == nil {
		err = Check(content)
	}
	if err != nil {
		return fmt.Errorf("%s %w and stays: --out names another place, --force replaces it", path, err)
	}
	return nil
}
