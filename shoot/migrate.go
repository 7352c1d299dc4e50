package shoot

import (
	"fmt"
	"strconv"

	"halfstop/diag"
	"halfstop/yamltext"
)

// migration turns a text of version from into the next version.
type migration struct {
	from int
	step func(name string, src []byte) ([]byte, error)
}

// migrations are in order, one for each version before Current.
//
// Version 0 is the form of the first sketches: the key 'version' in place of 'halfstop', and a
// setup's 'subject' in place of 'sitter'.
var migrations = []migration{
	{0, fromSketch},
}

// Migrate turns the text of a shoot into the current version, with comments and layout kept, and
// returns the version that it had.
//
// A text without a version, or one that cannot be read, comes back unchanged with from = Current;
// decoding then reports its mistakes. Error: a diag list (diag.Messages) where the version is newer
// than this program or no number. Check: TestMigrate.
func Migrate(name string, src []byte) (out []byte, from int, err error) {
	doc, _ := yamltext.Parse(name, src)
	from, known := versionOf(doc)
	if !known {
		return src, Current, nil
	}
	if from > Current {
		return src, from, diag.List{{Code: "shoot.version", Pos: doc.Pos("halfstop"),
			Text: fmt.Sprintf("this shoot is of version %d; this program reads versions up to %d", from, Current),
			Fix:  "use a newer halfstop"}}.Err()
	}
	out = src
	for _, m := range migrations {
		if m.from < from {
			continue
		}
		if out, err = m.step(name, out); err != nil {
			return src, from, diag.List{{Code: "shoot.migrate", Pos: doc.At(0, 1),
				Text: fmt.Sprintf("version %d cannot be brought to version %d: %v", m.from, m.from+1, err)}}.Err()
		}
	}
	return out, from, nil
}

// versionOf reads the version that a text states.
func versionOf(doc *yamltext.Doc) (int, bool) {
	if n := doc.Find("halfstop"); n != nil {
		v, err := strconv.Atoi(n.Text)
		return v, err == nil && v >= 0
	}
	if n := doc.Find("version"); n != nil && n.Text == "0" {
		return 0, true
	}
	return 0, false
}

func fromSketch(name string, src []byte) ([]byte, error) {
	var err error
	edit := func(change func(d *yamltext.Doc) ([]byte, error)) {
		if err == nil {
			doc, _ := yamltext.Parse(name, src)
			var out []byte
			if out, err = change(doc); err == nil {
				src = out
			}
		}
	}
	doc, _ := yamltext.Parse(name, src)
	if doc.Find("version") != nil {
		edit(func(d *yamltext.Doc) ([]byte, error) { return d.Rename("version", "halfstop") })
	}
	edit(func(d *yamltext.Doc) ([]byte, error) { return d.Set("halfstop", "1") })
	if setups := doc.Find("setups"); setups != nil {
		for i := range setups.Items {
			path := fmt.Sprintf("setups[%d].subject", i)
			if doc.Find(path) != nil {
				edit(func(d *yamltext.Doc) ([]byte, error) { return d.Rename(path, "sitter") })
			}
		}
	}
	return src, err
}
