package server

import (
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/internal/demo"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// lists gives the paths of all lists of groups in the
// demonstration's file, with the group of their entries.
func lists(groups map[string]shoot.FormGroup, group, path string, depth int, out map[string]string) {
	if depth > 4 {
		return
	}
	for _, f := range groups[group].Fields {
		if f.Kind != "group" {
			continue
		}
		p := yamltext.Join(path, f.Key)
		if !f.Many {
			lists(groups, f.Group, p, depth+1, out)
			continue
		}
		out[p] = f.Group
		if path == "" { // the setups: their lists as well
			lists(groups, f.Group, p+"[0]", depth+1, out)
		}
	}
}

// Every entry that the page can start from is one that the file takes without a mistake.
func TestStartsAreTaken(t *testing.T) {
	groups := shoot.Form()
	at := map[string]string{}
	lists(groups, "file", "", 0, at)
	if len(at) < 15 {
		t.Fatalf("only %d lists were found: %v", len(at), at)
	}
	for path, group := range at {
		if len(groups[group].New) == 0 {
			t.Errorf("%s: a %s has nothing to start from", path, group)
		}
		for _, n := range groups[group].New {
			text, err := editedText(demo.Shoot(),
				[]Edit{{Append: path, Value: strings.Replace(n.Value, "{name: ", "{name: new ", 1)}})
			if err != nil {
				t.Errorf("%s, %s: %v", path, n.Words, err)
				continue
			}
			if _, _, list := shoot.Parse("shoot.yaml", text, shoot.Options{}); list.Has(diag.Error) {
				t.Errorf("%s, %s: %v", path, n.Words, list)
			}
		}
	}
}

// The tree says what the text says, and every key of the demonstration is one that the form knows.
func TestFormKnowsTheTree(t *testing.T) {
	doc, _ := yamltext.Parse("shoot.yaml", demo.Shoot())
	groups := shoot.Form()
	seen := 0
	var walk func(n *TreeNode, group, path string)
	walk = func(n *TreeNode, group, path string) {
		if n.Kind == "list" {
			for _, v := range n.Items {
				walk(v, group, path+"[]")
			}
			return
		}
		for i, key := range n.Keys {
			ok := false
			for _, f := range groups[group].Fields {
				if f.Key != key {
					continue
				}
				ok = true
				seen++
				if f.Kind == "group" {
					walk(n.Items[i], f.Group, yamltext.Join(path, key))
				}
			}
			if !ok {
				t.Errorf("the form of %s does not know %s", path, key)
			}
		}
	}
	walk(treeOf(doc.Root), "file", "")
	if seen < 100 {
		t.Errorf("only %d settings were looked at", seen)
	}
	for name, g := range groups {
		for _, f := range g.Fields {
			if f.Kind == "" || f.Kind == "group" && groups[f.Group].Fields == nil {
				t.Errorf("%s, %s: no kind", name, f.Key)
			}
		}
	}
}

// A message names the setting at fault.
func TestMessagesNameTheirSetting(t *testing.T) {
	text, err := editedText(demo.Shoot(), []Edit{{Set: "room.windows[0].width", Value: "wide"},
		{Set: "room.ceiling", Value: "-2 m"}})
	if err != nil {
		t.Fatal(err)
	}
	_, doc, list := shoot.Parse("shoot.yaml", text, shoot.Options{})
	var got []string
	for _, m := range placed(doc, list) {
		if m.Severity == diag.Error {
			got = append(got, m.Pos.Path)
		}
	}
	for _, want := range []string{"room.windows[0].width", "room.ceiling"} {
		if !strings.Contains(strings.Join(got, "|"), want) {
			t.Errorf("no message names %s: %q", want, got)
		}
	}
}

// editedText applies edits to a text that is read for them.
func editedText(text []byte, edits []Edit) ([]byte, error) {
	doc, _ := yamltext.Parse("shoot.yaml", text)
	return edited(doc, text, edits)
}
