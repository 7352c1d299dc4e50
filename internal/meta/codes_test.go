package meta

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// codeLike is what a message's code looks like; its first word is one of these rooms of codes.
var codeLike = regexp.MustCompile(
	`^(camera|caution|day|file|kit|pack|photometry|record|shoot|spectral|stage|yaml)\.[a-z0-9]+(-[a-z0-9]+)*$`)

// sayers are the functions that take a message's code.
var sayers = map[string]bool{"say": true, "problem": true, "once": true,
	"Problem": true, "add": true, "fail": true, "unknown": true}

// codes gives every code of the source, with the text beside it where it stands first.
func codes(t *testing.T) map[string]string {
	out := map[string]string{}
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		note := func(e ast.Expr, rest []ast.Expr) {
			code, ok := literal(e)
			if !ok || !codeLike.MatchString(code) {
				return
			}
			text := ""
			for _, r := range rest {
				ast.Inspect(r, func(n ast.Node) bool {
					if e, ok := n.(ast.Expr); ok {
						if x, ok := literal(e); ok && text == "" && strings.Contains(x, " ") {
							text = strings.TrimSpace(x)
						}
					}
					return text == ""
				})
			}
			if len(text) > len(out[code]) || out[code] == "" {
				out[code] = text
			}
		}
		ast.Inspect(s.tree, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CompositeLit:
				var rest []ast.Expr
				var code ast.Expr
				for i, e := range n.Elts {
					if kv, ok := e.(*ast.KeyValueExpr); !ok {
						note(e, n.Elts[i+1:])
					} else if id, ok := kv.Key.(*ast.Ident); ok && id.Name == "Code" {
						code = kv.Value
					} else {
						rest = append(rest, kv.Value)
					}
				}
				if code != nil {
					note(code, rest)
				}
			case *ast.CallExpr:
				name := ""
				switch f := n.Fun.(type) {
				case *ast.Ident:
					name = f.Name
				case *ast.SelectorExpr:
					name = f.Sel.Name
				}
				if sayers[name] {
					for i, a := range n.Args {
						note(a, n.Args[i+1:])
					}
				}
			}
			return true
		})
	}
	return out
}

func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

const codesHead = `# Codes of messages

Every message about what a person wrote has a code, printed by ` + "`--json`" + ` and sent to the page. The set is closed: programs may go by a code, and none
that stands here is given another meaning. Beside each stands what it says, or the help it gives, where it is said first; %s is what it is about.
Refusals of the workbench's server and its troubles have codes of their own: ` + "`internal/server/openapi.yaml`" + `, Problem and Trouble.

| code | says |
|---|---|
`

// TestCodes holds docs/messages.md to the codes in the source: HALFSTOP_UPDATE=1 writes it anew.
func TestCodes(t *testing.T) {
	list := codes(t)
	if len(list) < 100 {
		t.Fatalf("only %d codes were found", len(list))
	}
	var b bytes.Buffer
	b.WriteString(codesHead)
	for _, code := range slices.Sorted(maps.Keys(list)) {
		fmt.Fprintf(&b, "| `%s` | %s |\n", code, strings.NewReplacer("|", `\|`, "\n", " ").Replace(list[code]))
	}
	name := filepath.Join(root(), "docs", "messages.md")
	if os.Getenv("HALFSTOP_UPDATE") != "" {
		if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, _ := os.ReadFile(name)
	for line := range bytes.Lines(have) {
		code, _, _ := strings.Cut(strings.TrimPrefix(string(line), "| `"), "`")
		if _, ok := list[code]; !ok && codeLike.MatchString(code) {
			t.Errorf("docs/messages.md has %s, which nothing says", code)
		}
	}
	for code := range list {
		if !bytes.Contains(have, []byte("| `"+code+"` |")) {
			t.Errorf(
				"%s is said and stands not in docs/messages.md: look whether it is a new one, then "+
					"HALFSTOP_UPDATE=1 go test ./internal/meta -run TestCodes", code)
		}
	}
}

// TestNoSubstrings: what is done about a message or an error goes by its code or its type, never by
// a part of its text. yamltext alone reads the texts of the YAML library, which has nothing else.
func TestNoSubstrings(t *testing.T) {
	for _, s := range sources(t) {
		if s.test || s.room == "yamltext" {
			continue
		}
		ast.Inspect(s.tree, func(n ast.Node) bool {
			c, ok := n.(*ast.CallExpr)
			if !ok || len(c.Args) < 2 {
				return true
			}
			f, ok := c.Fun.(*ast.SelectorExpr)
			if x, isID := f0(f, ok); !isID || x != "strings" ||
				!(f.Sel.Name == "Contains" || f.Sel.Name == "HasPrefix" || f.Sel.Name == "HasSuffix" ||
					f.Sel.Name == "EqualFold") {
				return true
			}
			switch a := c.Args[0].(type) {
			case *ast.SelectorExpr:
				ok = a.Sel.Name == "Code"
			case *ast.CallExpr:
				g, is := a.Fun.(*ast.SelectorExpr)
				ok = is && g.Sel.Name == "Error"
			default:
				ok = false
			}
			if ok {
				t.Errorf("%s: this goes by a part of a code or of an error's text", s.at(s.set.Position(c.Pos()).Line))
			}
			return true
		})
	}
}

func f0(f *ast.SelectorExpr, ok bool) (string, bool) {
	if !ok {
		return "", false
	}
	id, ok := f.X.(*ast.Ident)
	if !ok {
		return "", false
	}
	return id.Name, true
}
