package server

import (
	"fmt"
	"net/http"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"halfstop/internal/ownkit"
	"halfstop/kit"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// placeOf finds where an own thing is written: in the plan, whose kit lies over all, or in a file
// of kit. in names the file for people; without a Node it is in none.
func (s *Server) placeOf(m *model, list, name string) (at ownkit.Place, in string) {
	if m == nil {
		return at, ""
	}
	if p, ok := ownkit.InDoc(m.job.Doc, "kit."+list, name); ok {
		return p, filepath.Base(m.job.Doc.Name)
	}
	s.book.mu.Lock()
	files := s.book.file.Kit
	s.book.mu.Unlock()
	if p, ok := ownkit.Find(files, list, name); ok {
		return p, "kit/" + p.File
	}
	return at, ""
}

// valueOf is a setting as written; nil: it is not.
func valueOf(n *yamltext.Node, key string) *yamltext.Node {
	if n == nil {
		return nil
	}
	for _, f := range n.Fields {
		if f.Key.Text == key {
			return f.Value
		}
	}
	return nil
}

// levelKeys say a head's level: they are asked by the sheet, before all others.
var levelKeys = []string{"guide number", "guide iso", "guide constant", "gives", "rated with"}

// skipped reports a setting that the screen does not ask in a field of its own.
func skipped(f shoot.FormField) bool {
	return f.Key == "name" || f.Group != "" || f.Many && len(f.Counts) == 0 || slices.Contains(levelKeys, f.Key)
}

// mergedEntry is a thing with all that it takes from elsewhere, as its struct; nil: there is none.
func mergedEntry(whole *kit.Kit, list, name string) any {
	var v any
	var ok bool
	switch list {
	case "heads":
		v, ok = whole.FindHead(name)
	case "modifiers":
		v, ok = whole.FindModifier(name)
	case "grids":
		v, ok = whole.FindGrid(name)
	case "gels":
		v, ok = whole.FindGel(name)
	case "panels":
		v, ok = whole.FindPanel(name)
	case "stands":
		v, ok = whole.FindStand(name)
	case "surfaces":
		v, ok = whole.FindSurface(name)
	case "things":
		v, ok = whole.FindThing(name)
	}
	if !ok {
		return nil
	}
	return v
}

// settingText is a setting of a struct of the kit in words; empty: it says nothing.
func settingText(v reflect.Value, key string) string {
	if !v.IsValid() {
		return ""
	}
	for _, info := range yamltext.Fields(v.Type()) {
		if info.Key != key {
			continue
		}
		f := info.Value(v)
		for f.Kind() == reflect.Pointer && !f.IsNil() {
			f = f.Elem()
		}
		if f.IsZero() {
			return ""
		}
		return strings.ReplaceAll(fmt.Sprint(f.Interface()), "] [", "], [")
	}
	return ""
}

// levelsOf adds what the levels of a head rest on, and what its maker's sheet would bring.
func (s *Server) levelsOf(m *model, whole *kit.Kit, v *GearView, n *yamltext.Node) {
	name := v.Item.Name
	h, ok := whole.FindHead(name)
	if !ok {
		return
	}
	text := func(n *yamltext.Node, key string) string {
		if x := valueOf(n, key); x != nil {
			return x.Text
		}
		return ""
	}
	uses := 0
	withs := usedWith(m, "heads", name, &uses)
	rated := bare(h.RatedWith)
	if !slices.Contains(withs, rated) {
		withs = append(withs, rated)
	}
	for _, with := range withs {
		if r := restsOf(m, whole, name, with); r != nil {
			v.Levels = append(v.Levels, *r)
		}
	}
	sheet := &SheetView{Flash: h.Kind == "flash", Guide: text(n, "guide number"), ISO: text(n, "guide iso"),
		With: bare(text(n, "rated with")), Withs: []string{}}
	if text(n, "rated with") == "" {
		sheet.With = withs[0]
	}
	gives := valueOf(n, "gives")
	sheet.Lux, sheet.At = text(gives, "lux"), text(gives, "at")
	if sheet.Flash {
		sheet.Lux = text(gives, "lux seconds")
	}
	for i := range whole.Modifiers {
		x := &whole.Modifiers[i]
		if len(x.Mount) == 0 && (h.Mount == "bayonet" || h.Mount == "") || slices.Contains(x.Mount, h.Mount) ||
			strings.EqualFold(x.Name, "bare") {
			sheet.Withs = append(sheet.Withs, x.Name)
		}
	}
	if !slices.ContainsFunc(sheet.Withs, func(x string) bool { return strings.EqualFold(x, "bare") }) {
		sheet.Withs = append([]string{"bare"}, sheet.Withs...)
	}
	for _, key := range []string{"photometry", "flux", "reads"} {
		if valueOf(n, key) != nil {
			sheet.Second = key
		}
	}
	if r := restsOf(m, whole, name, sheet.With); r != nil {
		sheet.Now = r.SD
	}
	typed := kit.Head{Name: name, RatedWith: sheet.With, Gives: &kit.Gives{Lux: 1000, At: 2}}
	if sheet.Flash {
		typed.Gives = &kit.Gives{LuxSeconds: 1000, At: 2}
	}
	with := kit.Merge(*whole, kit.Kit{Heads: []kit.Head{typed}})
	sheet.Then = sheet.Now
	if r := restsOf(m, &with, name, sheet.With); r != nil {
		sheet.Then = r.SD
	}
	v.Sheet = sheet
}

// changeThing changes an own thing where it is written: in the plan, or in a file of kit.
func (s *Server) changeThing(name, list, thing string, inPlan func(doc *yamltext.Doc, path string) ([]byte, error),
	inKit func(files []shoot.KitFile) ([]ownkit.Change, error)) error {
	b := s.book
	m := b.snapshot()
	if m != nil {
		if _, ok := ownkit.InDoc(m.job.Doc, "kit."+list, thing); ok {
			return b.change(m.rev, "", name, "", func(doc *yamltext.Doc) ([]byte, error) {
				p, ok := ownkit.InDoc(doc, "kit."+list, thing)
				if !ok {
					return nil, refuse(http.StatusConflict, "%q is not in the shoot file any more", thing)
				}
				return inPlan(doc, p.Path)
			})
		}
	}
	return kitRefusal(b.changeKit(name, inKit))
}

// kitRefusal makes what is wrong with a change of kit a refusal that a page can show at its field.
func kitRefusal(err error) error {
	if _, ok := err.(*refusal); err == nil || ok {
		return err
	}
	return refuse(http.StatusUnprocessableEntity, "%v", err)
}

func (s *Server) postKitAdd(r *http.Request, x KitAdd) (State, error) {
	_, own, whole := s.kits()
	like, err := entryOf(&whole, own, x.List, x.Like)
	if err != nil {
		return State{}, err
	}
	x.Name = strings.Join(strings.Fields(x.Name), " ")
	if x.Name == "" {
		return State{}, refuse(http.StatusUnprocessableEntity,
			"the new thing has no name: type one, such as \"my %s\"",
			like.Name)
	}
	if _, err := entryOf(&whole, own, x.List, x.Name); err == nil {
		return State{}, refuse(http.StatusUnprocessableEntity,
			"the kit has %q already among its %s: give the new one another name", x.Name, x.List)
	}
	value := "{name: " + yamltext.Quote(x.Name, true) + ", like: " + yamltext.Quote(like.Name, true) + "}"
	err = s.book.changeKit("add "+x.Name, func(files []shoot.KitFile) ([]ownkit.Change, error) {
		return ownkit.Put(files, ownkit.Into, []kit.Addition{{List: x.List, Name: x.Name, Value: value}}, nil)
	})
	if err != nil {
		return State{}, kitRefusal(err)
	}
	return s.state(), nil
}

func (s *Server) postKitSet(r *http.Request, x KitSet) (State, error) {
	_, own, whole := s.kits()
	e, err := entryOf(&whole, own, x.List, x.Name)
	if err != nil {
		return State{}, err
	}
	if len(x.Edits) == 0 || len(x.Edits) > mostEdits {
		return State{}, refuse(http.StatusBadRequest, "edits: send 1 to %d", mostEdits)
	}
	var edits []yamltext.Edit
	keys := shoot.Form()[kitGroups[x.List]].Fields
	for _, d := range x.Edits {
		if !slices.ContainsFunc(keys, func(f shoot.FormField) bool { return f.Key == d.Key }) || d.Key == "name" {
			return State{}, refuse(http.StatusBadRequest, "key: %s have no setting %q that can be changed here",
				x.List, d.Key)
		}
		if len(d.Value) > mostText {
			return State{}, refuse(http.StatusRequestEntityTooLarge, "%s: the value is too long", d.Key)
		}
		edits = append(edits, yamltext.Edit{Path: d.Key, Value: strings.TrimSpace(d.Value)})
	}
	first := x.Edits[0].Key
	for _, d := range x.Edits {
		if d.Value != "" {
			first = d.Key
			break
		}
	}
	return s.after(s.changeThing(first+" of "+e.Name, x.List, e.Name,
		func(doc *yamltext.Doc, path string) ([]byte, error) {
			text, err := ownkit.SetIn(doc, path, edits)
			if err == nil {
				_, _, list := shoot.Parse(doc.Name, text, shoot.Options{Kit: s.book.file.Kit})
				err = list.Err()
			}
			if err != nil {
				err = refuse(http.StatusUnprocessableEntity, "%v; nothing was changed", err)
			}
			return text, err
		}, func(files []shoot.KitFile) ([]ownkit.Change, error) {
			return ownkit.Set(files, ownkit.Into, x.List, e.Name, edits)
		}))
}

func (s *Server) postKitRemove(r *http.Request, x KitRemove) (State, error) {
	_, own, whole := s.kits()
	e, err := entryOf(&whole, own, x.List, x.Name)
	if err != nil {
		return State{}, err
	}
	if !e.Own {
		return State{}, refuse(http.StatusUnprocessableEntity,
			"%q is of the generic catalogue: only own things can be taken out",
			e.Name)
	}
	return s.after(s.changeThing("take out "+e.Name, x.List, e.Name,
		func(doc *yamltext.Doc, path string) ([]byte, error) { return doc.Delete(path) },
		func(files []shoot.KitFile) ([]ownkit.Change, error) { return ownkit.Remove(files, x.List, e.Name) }))
}
