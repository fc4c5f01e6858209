package quantity_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// binaryReaders read numbers into float64, or take what no person means by a number: hexadecimal, underscores, NaN.
var binaryReaders = map[string]bool{
	"strconv.ParseFloat": true, "strconv.ParseComplex": true, "big.ParseFloat": true, "fmt.Sscan": true, "fmt.Sscanf": true, "fmt.Sscanln": true,
}

// TestTypedTextIsReadAsDecimal: no package that sees what a person typed calls anything but this package to read a number.
func TestTypedTextIsReadAsDecimal(t *testing.T) {
	files := token.NewFileSet()
	for _, name := range []string{"quantity", "formula", "trade", "uncertainty", "brief", "marking"} {
		paths, err := filepath.Glob("../" + name + "/*.go")
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %d files, %v", name, len(paths), err)
		}
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(files, path, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, at := range reads(f) {
				t.Errorf("%s: %s reads a number in binary: read it with quantity.ParseNumber", files.Position(at.Pos()), at.Sel.Name)
			}
		}
	}
}

// reads lists the uses of binaryReaders.
func reads(f *ast.File) []*ast.SelectorExpr {
	var found []*ast.SelectorExpr
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && binaryReaders[x.Name+"."+s.Sel.Name] {
				found = append(found, s)
			}
		}
		return true
	})
	return found
}

func TestTheDecimalRuleCanFail(t *testing.T) {
	// That file reads its check values in binary.
	f, err := parser.ParseFile(token.NewFileSet(), "table_test.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(reads(f)) == 0 {
		t.Error("strconv.ParseFloat was not found where it is")
	}
}
