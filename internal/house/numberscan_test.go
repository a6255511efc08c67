package house

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/printer"
	"go/token"
	"path"
	"slices"
	"strings"
	"testing"
)

// analysis are the packages whose numbers are listed: all that come between the
// bytes of a file and the verdict.
var analysis = []string{"resample", "clip", "dsp", "noise", "spectrum", "shaft", "firing", "quality", "pass", "verdict"}

// ofStandards are files whose numbers are those of the format that they read or of the
// algorithm that they are, and none of our choice.
var ofStandards = []string{
	"clip/wav.go", "clip/wavdata.go", "clip/aiff.go", "clip/flac.go", "clip/flacblocks.go", "clip/mp3.go", "clip/mp3frames.go",
	"clip/ogg.go", "clip/vorbis.go", "clip/vorbisbooks.go", "clip/opus.go", "clip/sniff.go", "clip/ffmpeglog.go", "clip/write.go",
	"dsp/fft.go", "dsp/passes.go", "dsp/passes_amd64.go",
}

// noChoice are what is no choice within a formula: nothing, one, twice and half, and
// factors of units.
var noChoice = []string{"0", "0.0", "1", "1.0", "2", "0.5", "10", "60", "100"}

// found is a number in the code.
type found struct {
	pkg, name, value string
}

// numberScan lists the numbers of one file.
type numberScan struct {
	set *token.FileSet
	pkg string
	all *[]found
}

// scanNumbers lists the numbers of the analysis packages that are a choice, in
// the order of the packages and of their names.
func scanNumbers(t *testing.T) (all []found) {
	t.Helper()
	set := token.NewFileSet()
	for name, f := range goFiles(t, set) {
		pkg := path.Base(path.Dir(name))
		short := pkg + "/" + path.Base(name)
		if strings.HasSuffix(name, "_test.go") || path.Dir(name) != "internal/"+pkg || !slices.Contains(analysis, pkg) || slices.Contains(ofStandards, short) {
			continue
		}
		(&numberScan{set: set, pkg: pkg, all: &all}).file(f)
	}
	slices.SortFunc(all, func(a, b found) int {
		if a.pkg != b.pkg {
			return slices.Index(analysis, a.pkg) - slices.Index(analysis, b.pkg)
		}
		return strings.Compare(a.name+" "+a.value, b.name+" "+b.value)
	})
	return slices.Compact(all)
}

func (s *numberScan) file(f *ast.File) {
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.GenDecl:
			s.body(d, "", false)
		case *ast.FuncDecl:
			if d.Body != nil {
				name := d.Name.Name
				rest, defaults := strings.CutPrefix(strings.ToLower(name[:1])+name[1:], "default")
				if defaults {
					name = rest
				}
				s.body(d.Body, name, defaults)
			}
		}
	}
}

// body lists the numbers below a node. In a function that gives defaults each counts;
// elsewhere those of noChoice do not, and 0, 1 and 2 only as the value of a constant.
func (s *numberScan) body(n ast.Node, name string, defaults bool) {
	ast.Inspect(n, func(x ast.Node) bool {
		switch x := x.(type) {
		case *ast.ValueSpec:
			for i, v := range x.Values {
				s.named(v, join(name, x.Names[i].Name), defaults || isConst(x))
			}
			return false
		case *ast.AssignStmt:
			if len(x.Lhs) == len(x.Rhs) && defaults {
				for i, v := range x.Rhs {
					s.named(v, join(name, s.text(x.Lhs[i])), defaults)
				}
				return false
			}
		case *ast.KeyValueExpr:
			if key, ok := x.Key.(*ast.Ident); ok {
				s.named(x.Value, join(name, key.Name), defaults)
				return false
			}
		case *ast.ArrayType, *ast.IndexExpr, *ast.SliceExpr:
			return false // places and sizes
		case *ast.BinaryExpr:
			if strings.Contains(s.text(x), "math.Log10(") && (s.text(x.X) == "10" || s.text(x.X) == "20") {
				s.body(x.Y, name, defaults)
				return false // decibels
			}
		case *ast.BasicLit:
			if isNumber(x) && (defaults || !slices.Contains(noChoice, x.Value)) {
				*s.all = append(*s.all, found{s.pkg, name + "()", x.Value})
			}
		}
		return true
	})
}

// named lists a value that has a name, as one number where it is one.
func (s *numberScan) named(v ast.Expr, name string, every bool) {
	if c, ok := v.(*ast.CompositeLit); ok {
		for i, e := range c.Elts {
			if kv, ok := e.(*ast.KeyValueExpr); ok {
				s.named(kv.Value, join(name, s.text(kv.Key)), every)
			} else {
				s.named(e, fmt.Sprintf("%s[%d]", name, i), every)
			}
		}
		return
	}
	if !isNumeric(v) {
		s.body(v, name, false)
		return
	}
	if text := s.text(v); every || !slices.Contains([]string{"0", "1", "2"}, text) {
		*s.all = append(*s.all, found{s.pkg, name, text})
	}
}

// isNumeric reports whether an expression is made of numbers and their units alone.
func isNumeric(v ast.Expr) (yes bool) {
	ast.Inspect(v, func(x ast.Node) bool {
		if l, ok := x.(*ast.BasicLit); ok && isNumber(l) {
			yes = true
		}
		return true
	})
	ast.Inspect(v, func(x ast.Node) bool {
		switch x := x.(type) {
		case nil, *ast.BasicLit, *ast.UnaryExpr, *ast.BinaryExpr, *ast.ParenExpr:
		case *ast.SelectorExpr:
			pkg, ok := x.X.(*ast.Ident)
			yes = yes && ok && pkg.Name == "time"
			return false
		default:
			yes = false
		}
		return yes
	})
	return yes
}

func isNumber(l *ast.BasicLit) bool { return l.Kind == token.INT || l.Kind == token.FLOAT }

// isConst reports whether a specification is one of constants. The parser resolves
// the object of each name.
func isConst(x *ast.ValueSpec) bool {
	return x.Names[0].Obj != nil && x.Names[0].Obj.Kind == ast.Con
}

func (s *numberScan) text(n ast.Node) string {
	var b bytes.Buffer
	if err := printer.Fprint(&b, s.set, n); err != nil {
		panic(err)
	}
	return b.String()
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "." + b
}
