package answers

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Every finding that the program makes has a sentence, every sentence is used, and
// each names only values that every maker of its finding gives.
func TestEveryFindingHasItsSentence(t *testing.T) {
	found := findMakers(t, "../..")
	for key, makers := range found.keys {
		entry, ok := catalog[key]
		if !ok {
			t.Errorf("%s: the finding %q has no sentence", makers[0].at, key)
			continue
		}
		for _, name := range namesIn(t, key, entry) {
			for _, m := range makers {
				if !slices.Contains(m.names, name) {
					t.Errorf("%s: the sentence of %q needs %q, which is not given", m.at, key, name)
				}
			}
		}
	}
	for key := range catalog {
		if found.keys[key] == nil {
			t.Errorf("nothing makes the finding of the sentence %q", key)
		}
	}
}

// maker is a place that makes a finding, and the names of the values it gives.
type maker struct {
	at    string
	names []string
}

// makers are the places that make findings, by key.
type makers struct {
	t        *testing.T
	set      *token.FileSet
	keys     map[string][]maker
	consts   map[string]string // texts of constants, by package and name
	wrappers map[string]int    // functions that hand a key and values on, by folder and name, and where their key is
}

// findMakers reads the program's source.
func findMakers(t *testing.T, root string) *makers {
	m := &makers{t: t, set: token.NewFileSet(), keys: map[string][]maker{}, consts: map[string]string{}, wrappers: map[string]int{}}
	var files []*ast.File
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || path == filepath.Join(root, "photometry", "finding.go") {
			return err
		}
		file, err := parser.ParseFile(m.set, path, nil, 0)
		files = append(files, file)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		m.constants(file)
	}
	for n := -1; n < len(m.wrappers); { // until no further one is found
		n = len(m.wrappers)
		for _, file := range files {
			m.findWrappers(file)
		}
	}
	for _, file := range files {
		ast.Inspect(file, func(n ast.Node) bool {
			if call, ok := n.(*ast.CallExpr); ok && !call.Ellipsis.IsValid() {
				m.call(file, call)
			}
			return true
		})
	}
	if len(m.keys) == 0 {
		t.Fatal("found no finding in the source")
	}
	return m
}

func (m *makers) constants(file *ast.File) {
	ast.Inspect(file, func(n ast.Node) bool {
		if spec, ok := n.(*ast.ValueSpec); ok && len(spec.Values) == len(spec.Names) {
			for i, name := range spec.Names {
				if text, ok := literal(spec.Values[i]); ok {
					m.consts[file.Name.Name+"."+name.Name] = text
				}
			}
		}
		return true
	})
}

// findWrappers finds the functions that hand one of their parameters on as the key
// and the rest as values.
func (m *makers) findWrappers(file *ast.File) {
	for _, decl := range file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok || f.Body == nil {
			continue
		}
		var params []string
		for _, field := range f.Type.Params.List {
			for _, name := range field.Names {
				params = append(params, name.Name)
			}
		}
		ast.Inspect(f.Body, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || !call.Ellipsis.IsValid() {
				return true
			}
			if at, ok := m.keyOf(file, call); ok {
				if key, ok := call.Args[at].(*ast.Ident); ok && slices.Contains(params, key.Name) {
					m.wrappers[m.folder(file)+f.Name.Name] = slices.Index(params, key.Name)
				}
			}
			return true
		})
	}
}

// keyOf is where a call that makes a finding has its key. Functions that hand one on
// are known in their own package only.
func (m *makers) keyOf(file *ast.File, call *ast.CallExpr) (int, bool) {
	name := nameOf(call.Fun)
	if name == "Found" || name == "Remarked" {
		return 0, len(call.Args) > 0
	}
	at, ok := m.wrappers[m.folder(file)+name]
	return at, ok && at < len(call.Args)
}

func (m *makers) folder(file *ast.File) string {
	return filepath.Dir(m.set.Position(file.Pos()).Filename) + " "
}

// call takes in a call that makes a finding.
func (m *makers) call(file *ast.File, call *ast.CallExpr) {
	at, ok := m.keyOf(file, call)
	if !ok {
		return
	}
	place := m.set.Position(call.Pos()).String()
	key, ok := m.text(file, call.Args[at])
	if !ok {
		m.t.Errorf("%s: the key of a finding is no constant", place)
		return
	}
	one := maker{at: place}
	for i := at + 1; i < len(call.Args); i += 2 {
		name, ok := m.text(file, call.Args[i])
		if !ok {
			m.t.Errorf("%s: the name of a value is no constant", place)
		}
		one.names = append(one.names, name)
	}
	m.keys[key] = append(m.keys[key], one)
}

// text is the text of a literal or of a constant.
func (m *makers) text(file *ast.File, e ast.Expr) (string, bool) {
	if text, ok := literal(e); ok {
		return text, true
	}
	home := file.Name.Name
	if of, ok := e.(*ast.SelectorExpr); ok {
		home = nameOf(of.X)
	}
	text, ok := m.consts[home+"."+nameOf(e)]
	return text, ok
}

func literal(e ast.Expr) (string, bool) {
	basic, ok := e.(*ast.BasicLit)
	if !ok || basic.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(basic.Value)
	return text, err == nil
}

// nameOf is the last name of an expression: Found of photometry.Found.
func nameOf(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

// namesIn are the values that a sentence needs. Those of a function are found in
// this package's source.
func namesIn(t *testing.T, key string, entry any) []string {
	var names []string
	switch entry := entry.(type) {
	case string:
		var optional []string
		names, optional = placeholders(t, key, entry)
		names = slices.DeleteFunc(names, func(name string) bool { return slices.Contains(optional, name) })
	case variants:
		names = variantNames(t)[key]
	default:
		t.Errorf("the sentence of %q is a %T", key, entry)
	}
	return names
}

// placeholders are the names of the values that a template takes, and those of them that
// it asks for, as in {name?text}.
func placeholders(t *testing.T, key, template string) (names, optional []string) {
	for template != "" {
		before, within, after := cutBraces(template)
		if strings.ContainsAny(before, "{}") {
			t.Errorf("the sentence of %q has braces that hold no value: %s", key, before)
		}
		template = after
		if within == "" {
			continue
		}
		if composed[within] != nil {
			names = append(names, variantNames(t)[within]...)
			continue
		}
		name, kind, rest := cutName(within)
		if strings.Trim(name, "abcdefghijklmnopqrstuvwxyz_") != "" || name == "" {
			t.Errorf("the sentence of %q has braces that hold no value: %s", key, within)
		}
		names = append(names, name)
		if kind == "?" {
			optional = append(optional, name)
		}
		if kind == "?" || kind == "|" {
			yes, no := cutChoice(rest)
			for _, text := range []string{yes, no} {
				further, asked := placeholders(t, key, text)
				names, optional = append(names, further...), append(optional, asked...)
			}
		}
	}
	return names, optional
}

// variantNames are the values that the functions of this package's sentences take
// without asking whether they are there, by key.
func variantNames(t *testing.T) map[string][]string {
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	functions := map[string]*ast.BlockStmt{}
	var files []*ast.File
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, e.Name(), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
		for _, decl := range file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok {
				functions[f.Name.Name] = f.Body
			}
		}
	}
	out := map[string][]string{}
	for _, file := range files {
		ast.Inspect(file, func(n ast.Node) bool {
			pair, ok := n.(*ast.KeyValueExpr)
			if !ok {
				return true
			}
			key, ok := literal(pair.Key)
			if !ok {
				return true
			}
			switch value := pair.Value.(type) {
			case *ast.FuncLit:
				out[key] = valuesTaken(value.Body)
			case *ast.Ident:
				if body := functions[value.Name]; body != nil {
					out[key] = valuesTaken(body)
				}
			}
			return true
		})
	}
	return out
}

// valuesTaken are the names in v["name"] of a function's body. One that asks whether
// the value is there, as in x, ok := v["name"].(T), can do without.
func valuesTaken(body *ast.BlockStmt) []string {
	var names, optional []string
	ast.Inspect(body, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.AssignStmt:
			if len(n.Lhs) == 2 && len(n.Rhs) == 1 {
				ast.Inspect(n.Rhs[0], func(n ast.Node) bool {
					if x, ok := n.(*ast.IndexExpr); ok {
						if name, ok := literal(x.Index); ok {
							optional = append(optional, name)
						}
					}
					return true
				})
			}
		case *ast.IndexExpr:
			if name, ok := literal(n.Index); ok {
				names = append(names, name)
			}
		}
		return true
	})
	return slices.DeleteFunc(names, func(name string) bool { return slices.Contains(optional, name) })
}
