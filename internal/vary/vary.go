// Package vary moves the numbers of a structure of options one at a time, for the tests
// that show how far each can move before results change. Only tests use it. Start with
// Names, then Move.
package vary

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
)

// Names gives the names of all numbers in the structure that options points to, in
// order: the fields on the way, as Shaft.Gate.MinRun. Kinds of frames share the numbers
// that are the same for several of them: Shaft.Frame.Line.Zero=3.
func Names(options any) (names []string) {
	each(reflect.ValueOf(options).Elem(), "", func(path string, v reflect.Value) {
		if name := named(path, v); !slices.Contains(names, name) {
			names = append(names, name)
		}
	})
	return names
}

// Move multiplies the numbers of a name, an integer by at least a step. 0 moves by the
// difference from 1.
func Move(options any, name string, by float64) {
	each(reflect.ValueOf(options).Elem(), "", func(path string, v reflect.Value) {
		switch {
		case named(path, v) != name:
		case v.Kind() == reflect.Int:
			n := int64(math.Round(float64(v.Int()) * by))
			if n == v.Int() {
				n += int64(math.Copysign(1, by-1))
			}
			v.SetInt(n)
		case v.Float() == 0:
			v.SetFloat(by - 1)
		default:
			v.SetFloat(v.Float() * by)
		}
	})
}

// each calls do with every number, by its path.
func each(v reflect.Value, path string, do func(path string, v reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			name := "." + v.Type().Field(i).Name
			if v.Type().Field(i).Anonymous {
				name = ""
			}
			each(v.Field(i), strings.TrimPrefix(path+name, "."), do)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			each(v.Index(i), fmt.Sprintf("%s[%d]", path, i), do)
		}
	case reflect.Float64, reflect.Int:
		do(path, v)
	}
}

// ofFrame matches what the kinds of frames have in common.
var ofFrame = regexp.MustCompile(`^Shaft\.(Spectra\[\d\]|Envelope)\.`)

// named gives the name that a number is moved by.
func named(path string, v reflect.Value) string {
	if at := ofFrame.FindString(path); at != "" {
		return fmt.Sprintf("Shaft.Frame.%s=%v", path[len(at):], v.Interface())
	}
	return path
}
