package table

import (
	"encoding"
	"reflect"
	"slices"
)

// columnField is a struct field that is a column.
type columnField struct {
	Field
	unit  string
	index []int // as for reflect.Value.FieldByIndex
	kind  fieldKind
}

// fieldKind is how the cells of a struct field are read.
type fieldKind uint8

const (
	ofNothing fieldKind = iota
	ofText
	ofBool
	ofNumber
	ofWhole
	ofOwnType // with UnmarshalCSV or UnmarshalText
)

func (k fieldKind) want() Want {
	if k == ofText || k == ofBool {
		return Text
	}
	return mixed
}

// csvUnmarshaler is a type that reads a cell itself.
type csvUnmarshaler interface{ UnmarshalCSV(text string) error }

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
		index := append(slices.Clone(parent), i)
		tag := sf.Tag.Get("csv")
		switch {
		case sf.Anonymous && sf.Type.Kind() == reflect.Struct:
			n := len(fields)
			fields = appendFields(fields, sf.Type, index)
			if len(fields) > n && !sf.IsExported() { // its fields cannot be set
				panic("table: the embedded " + sf.Type.String() + " has columns and must be exported")
			}
		case sf.IsExported() && tag != "" && tag != "-":
			f := columnField{Field: Field{Name: tag}, index: index, unit: sf.Tag.Get("unit"), kind: kindOf(sf.Type)}
			if f.kind == ofNothing {
				panic("table: the column " + tag + " is a " + sf.Type.String() + ", which needs UnmarshalCSV")
			}
			f.Units = acceptedUnits(f.unit)
			fields = append(fields, f)
		}
	}
	return fields
}

// acceptedUnits returns a unit and those accepted instead of it: for a length all
// other units of length.
func acceptedUnits(unit string) []string {
	if unit == "" {
		return nil
	}
	units := []string{unit}
	if _, ok := findLength(unit); ok {
		for _, u := range lengthUnits {
			if u.name != unit {
				units = append(units, u.name)
			}
		}
	}
	return units
}

// kindOf returns how a field of a type is read.
func kindOf(t reflect.Type) fieldKind {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	p := reflect.PointerTo(t)
	if p.Implements(reflect.TypeFor[csvUnmarshaler]()) || p.Implements(reflect.TypeFor[encoding.TextUnmarshaler]()) {
		return ofOwnType
	}
	switch zero := reflect.Zero(t); {
	case t.Kind() == reflect.Bool:
		return ofBool
	case zero.CanFloat():
		return ofNumber
	case zero.CanInt() || zero.CanUint():
		return ofWhole
	case t.Kind() == reflect.String:
		return ofText
	}
	return ofNothing
}
