package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mostWords is how many words a sentence may have on a screen, in help or in an error.
const mostWords = 20

var (
	endOfSentence = regexp.MustCompile(`[.?!:;)](\s+|$)|\n {2,}|\|`)
	filledIn      = regexp.MustCompile(`\{[^{}]*\}`) // one word, in the sentences of package answers
)

// longSentences are the sentences of a text that have too many words. Examples, which are
// indented, are none.
func longSentences(text string) (long []string) {
	for paragraph := range strings.SplitSeq(text, "\n\n") {
		if strings.HasPrefix(paragraph, "  ") {
			continue
		}
		for _, sentence := range endOfSentence.Split(filledIn.ReplaceAllString(paragraph, "…"), -1) {
			words := strings.Fields(sentence)
			if lists := 2*strings.Count(sentence, ",") > len(words); len(words) > mostWords && !lists {
				long = append(long, strings.Join(words, " "))
			}
		}
	}
	return long
}

// Every text in the program's source, and the help of every command, is in short sentences.
func TestSentencesAreShort(t *testing.T) {
	for _, c := range (&app{}).root().Commands() {
		if c.Name() == "completion" || c.Name() == "help" {
			continue // of the library
		}
		for _, sentence := range longSentences(c.Long) {
			t.Errorf("help %s: more than %d words: %s", c.Name(), mostWords, sentence)
		}
	}
	set, texts := token.NewFileSet(), 0
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || slices.Contains(noProse, filepath.ToSlash(strings.TrimPrefix(path, "../../"))) {
			return err
		}
		file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			e, ok := n.(ast.Expr)
			if !ok {
				return true
			}
			text, ok := textOf(e)
			for _, sentence := range longSentences(text) {
				t.Errorf("%s: more than %d words: %s", set.Position(e.Pos()), mostWords, sentence)
			}
			if ok {
				texts++
			}
			return !ok // a sum of texts is looked at whole
		})
		return nil
	})
	if err != nil || texts < 1000 {
		t.Fatal(texts, "texts read:", err)
	}
}

// noProse are files whose texts are lists and code.
var noProse = []string{"photometry/schema/sheetwords.go", "plots/document/unbroken.go"}

// textOf is the text of a literal, or of literals put together.
func textOf(e ast.Expr) (string, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(e.Value)
		return text, e.Kind == token.STRING && err == nil
	case *ast.BinaryExpr:
		a, okA := textOf(e.X)
		b, okB := textOf(e.Y)
		return a + b, okA && okB
	}
	return "", false
}
