package table

import (
	"encoding"
	"reflect"
	"strings"

	"github.com/gocarina/gocsv"
)

// fieldKind says how the cells of a struct field are read.
type fieldKind uint8

const (
	ofNothing fieldKind = iota
	ofText
	ofBool
	ofNumber
	ofWhole
	ofOwnType // with UnmarshalCSV or UnmarshalText
)

// columnField is a struct field that is a column.
type columnField struct {
	Field
	name       string // csv name
	unit       string
	index      []int // as for reflect.Value.FieldByIndex
	kind       fieldKind
	zero       reflect.Value // of the field's type, behind a pointer
	hasDefault bool
}

func (f columnField) want() Want {
	if f.kind == ofText || f.kind == ofBool {
		return Text
	}
	return mixed
}

// holds reports whether the field's integer type has this whole number.
func (f columnField) holds(v float64) bool {
	if f.zero.CanUint() {
		return v >= 0 && v < 1<<64 && !f.zero.OverflowUint(uint64(v))
	}
	return v >= -1<<63 && v < 1<<63 && !f.zero.OverflowInt(int64(v))
}

var (
	unmarshalsCSV  = reflect.TypeFor[gocsv.TypeUnmarshaller]()
	unmarshalsText = reflect.TypeFor[encoding.TextUnmarshaler]()
)

// columnFields returns the fields of a struct type that are columns, those of
// embedded structs included.
func columnFields(t reflect.Type) []columnField {
	if t.Kind() != reflect.Struct {
		panic("table: " + t.String() + " is not a struct")
	}
	fields := appendFields(nil, t, nil)
	if len(fields) == 0 {
		panic("table: no field of " + t.String() + " has a csv tag")
	}
	return fields
}

func appendFields(fields []columnField, t reflect.Type, parent []int) []columnField {
	for i := range t.NumField() {
		sf := t.Field(i)
		index := append(append([]int(nil), parent...), i)
		tag := sf.Tag.Get("csv")
		switch {
		case sf.Anonymous && sf.Type.Kind() == reflect.Struct:
			n := len(fields)
			fields = appendFields(fields, sf.Type, index)
			if len(fields) > n && !sf.IsExported() { // the library passes over it
				panic("table: the embedded " + sf.Type.String() + " has columns and must be exported")
			}
			continue
		case !sf.IsExported() || tag == "" || tag == "-":
			continue
		}
		f := columnField{index: index, unit: sf.Tag.Get("unit")}
		for _, part := range strings.Split(tag, ",") {
			switch part = strings.TrimSpace(part); {
			case strings.HasPrefix(part, "default="):
				f.hasDefault = true
			case part == "omitempty" || part == "":
			case f.name == "":
				f.name = part
			default:
				f.Aliases = append(f.Aliases, part)
			}
		}
		if f.name == "" {
			panic("table: the csv tag of " + t.String() + "." + sf.Name + " has no name")
		}
		f.Name = f.name
		for _, alias := range strings.Split(sf.Tag.Get("alias"), ",") {
			if alias = strings.TrimSpace(alias); alias != "" {
				f.Aliases = append(f.Aliases, alias)
			}
		}
		if f.unit != "" {
			f.Units = []string{f.unit}
			if _, ok := LengthFactor(f.unit); ok {
				for _, u := range lengthUnits {
					if u.name != f.unit {
						f.Units = append(f.Units, u.name)
					}
				}
			}
		}
		if f.kind, f.zero = kindOf(sf.Type); f.kind == ofNothing {
			panic("table: the column " + f.name + " is a " + sf.Type.String() + ", which needs UnmarshalCSV")
		}
		fields = append(fields, f)
	}
	return fields
}

// kindOf says how a field's type is read.
func kindOf(t reflect.Type) (fieldKind, reflect.Value) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	zero := reflect.New(t).Elem()
	if p := reflect.PointerTo(t); p.Implements(unmarshalsCSV) || p.Implements(unmarshalsText) {
		return ofOwnType, zero
	}
	switch {
	case t.Kind() == reflect.Bool:
		return ofBool, zero
	case zero.CanFloat():
		return ofNumber, zero
	case zero.CanInt() || zero.CanUint():
		return ofWhole, zero
	case t.Kind() == reflect.String:
		return ofText, zero
	}
	return ofNothing, zero
}
