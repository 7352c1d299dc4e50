package meta

import (
	"go/ast"
	"go/token"
	"maps"
	"path"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// unused are exported names that no code outside tests uses yet, each with its reason; one that
// ends in a dot is a whole room. One that is used, or gone, is an error: the list stays true.
var unused = map[string]string{
	"balance.ColourLike":      "a kind of target that no look can ask for yet",
	"balance.RatioOfLights":   "a kind of target that no look can ask for yet",
	"balance.RatioOfSides":    "a kind of target that no look can ask for yet",
	"balance.WarmerThanPoint": "a kind of target that no look can ask for yet",
	"day.Duration.CDF":        "the table of a plan's chances",
	"dmx.":                    "sending to heads is not a command yet",
	"kind.Modifiers":          "tests walk the table, so that no part of a kind is missing",
	"kind.Panels":             "tests walk the table, so that no part of a kind is missing",
	"kind.Stands":             "tests walk the table, so that no part of a kind is missing",
	"kit.Reference":           "TestReferenceIsFresh writes docs/kit.md with it",
	"photometry.Web.Scaled":   "levels of photometric files",
	"picture.Formats":         "tests walk the table, so that no part of a format is missing",
	"sheet.Formats":           "tests walk the table, so that no part of a format is missing",
	"shoot.Reference":         "TestDocsAreFresh writes docs/shoot-file.md with it",
	"shoot.Schema":            "TestDocsAreFresh writes docs/shoot.schema.json with it",
	"trace.Sky":               "places without walls, which no shoot file can ask for yet",
	"trace.Sun":               "places without walls, which no shoot file can ask for yet",
	"yamltext.Defaults":       "TestDocsAreFresh shows the defaults with it",
}

// support are rooms that only tests use, on purpose.
var support = map[string]string{
	"internal/e2e/browser":     "a browser, for the tests of pages",
	"internal/store/storetest": "disks that fail, for the tests of store and server",
	"internal/zoo":             "rooms unlike each other, for tests and benchmarks",
}

// bySystem are methods that the standard library or the language calls through an interface.
var bySystem = map[string]bool{"String": true, "Error": true, "Unwrap": true, "Is": true, "Write": true, "Read": true,
	"Close": true, "Len": true,
	"Less": true, "Swap": true, "Push": true, "Pop": true, "MarshalText": true, "UnmarshalText": true,
	"MarshalJSON": true, "UnmarshalJSON": true,
	"MarshalYAML": true, "UnmarshalYAML": true, "ServeHTTP": true, "ColorModel": true, "Bounds": true, "At": true,
	"Format": true, "GoString": true}

// TestExportedAreUsed: an exported function, type, method, variable, constant or field that nothing
// but tests uses is dead, and goes. It goes by names, without types: a method counts as used where
// any method or field of its name is selected.
func TestExportedAreUsed(t *testing.T) {
	uses := usesOf(t)
	got := map[string]string{}
	for _, s := range sources(t) {
		if s.test || s.made || s.tree.Name.Name == "main" {
			continue
		}
		dir := path.Dir(s.path)
		if support[dir] != "" {
			continue
		}
		for name, where := range exportsOf(s) {
			bare := name[strings.LastIndex(name, ".")+1:]
			if strings.Contains(name, ".") {
				if uses.selected[bare] == 0 && !bySystem[bare] {
					got[dir+"."+name] = where
				}
			} else if uses.named[dir+"."+name] == 0 {
				got[dir+"."+name] = where
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		if room := name[:strings.Index(name, ".")+1]; unused[room] != "" {
			got[room] = "some"
			continue
		}
		if unused[name] == "" {
			t.Errorf("%s: %s is used by no code but tests: take it out", got[name], name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(unused)) {
		if got[name] == "" {
			t.Errorf("%s is used now, or gone: take it off the list", name)
		}
	}
}

// uses counts names in code that is no test.
type uses struct {
	named    map[string]int // 'room.Name' of package-level names
	selected map[string]int // names of fields and methods, whatever they belong to
}

func usesOf(t *testing.T) uses {
	u := uses{map[string]int{}, map[string]int{}}
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		dir := path.Dir(s.path)
		local := map[string]string{} // name of an import in this file → its folder
		for _, i := range s.tree.Imports {
			p, _ := strconv.Unquote(i.Path.Value)
			rest, ok := strings.CutPrefix(p, module)
			if !ok {
				continue
			}
			name := path.Base(rest)
			if i.Name != nil {
				name = i.Name.Name
			}
			local[name] = rest
		}
		declared := map[*ast.Ident]bool{}
		for _, d := range s.tree.Decls {
			for _, id := range declaredBy(d) {
				declared[id] = true
			}
		}
		ast.Inspect(s.tree, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && local[x.Name] != "" {
					u.named[local[x.Name]+"."+n.Sel.Name]++
					u.selected[n.Sel.Name]++
					return false
				}
				u.selected[n.Sel.Name]++
			case *ast.KeyValueExpr:
				if k, ok := n.Key.(*ast.Ident); ok {
					u.selected[k.Name]++
				}
			case *ast.Ident:
				if !declared[n] {
					u.named[dir+"."+n.Name]++
				}
			}
			return true
		})
	}
	return u
}

// declaredBy are the identifiers that a declaration declares, fields and methods included.
func declaredBy(d ast.Decl) (out []*ast.Ident) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		return []*ast.Ident{d.Name}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				out = append(out, s.Name)
			case *ast.ValueSpec:
				out = append(out, s.Names...)
			}
		}
	}
	return out
}

// exportsOf gives the exported names of a file with their places: 'Name', or 'Type.Method' and
// 'Type.Field'. Fields with a tag are read by reflection and left out, as are fields of types that
// carry any tag.
func exportsOf(s source) map[string]string {
	out := map[string]string{}
	add := func(name string, at token.Pos) {
		out[name] = s.place(at)
	}
	for _, d := range s.tree.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			switch {
			case !d.Name.IsExported():
			case d.Recv == nil:
				add(d.Name.Name, d.Name.Pos())
			default:
				add(receiver(d)+"."+d.Name.Name, d.Name.Pos())
			}
		case *ast.GenDecl:
			for _, id := range declaredBy(d) {
				if id.IsExported() && !closedSet(d) {
					add(id.Name, id.Pos())
				}
			}
			for _, sp := range d.Specs {
				ts, ok := sp.(*ast.TypeSpec)
				if !ok {
					continue
				}
				st, ok := ts.Type.(*ast.StructType)
				if !ok || tagged(st) {
					continue
				}
				for _, f := range st.Fields.List {
					for _, id := range f.Names {
						if id.IsExported() {
							add(ts.Name.Name+"."+id.Name, id.Pos())
						}
					}
				}
			}
		}
	}
	return out
}

// closedSet reports that a declaration lists the values of a type: a set is told whole, also where
// one of them is named nowhere else.
func closedSet(d *ast.GenDecl) bool {
	if d.Tok != token.CONST || len(d.Specs) < 2 {
		return false
	}
	for _, s := range d.Specs {
		if s.(*ast.ValueSpec).Type != nil {
			return true
		}
	}
	return false
}

func receiver(d *ast.FuncDecl) string {
	x := d.Recv.List[0].Type
	for {
		switch t := x.(type) {
		case *ast.StarExpr:
			x = t.X
		case *ast.IndexExpr:
			x = t.X
		case *ast.Ident:
			return t.Name
		default:
			return "?"
		}
	}
}

func tagged(st *ast.StructType) bool {
	for _, f := range st.Fields.List {
		if f.Tag != nil && reflect.StructTag(strings.Trim(f.Tag.Value, "`")) != "" {
			return true
		}
	}
	return false
}
