package feed

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"testing"
)

// Whys must name every reason there is, or those who count reasons miss one.
func TestWhysAreAllOfThem(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "errors.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	ast.Inspect(f, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 {
			return true
		}
		if typ, ok := spec.Type.(*ast.Ident); !ok || typ.Name != "Why" {
			return true
		}
		word, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
		if err != nil {
			t.Fatal(err)
		}
		found++
		if !slices.Contains(Whys, Why(word)) {
			t.Errorf("Whys lacks %q", word)
		}
		return true
	})
	if found != len(Whys) || found < 10 {
		t.Errorf("%d reasons declared, %d in Whys", found, len(Whys))
	}
}
