package server

import (
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"halfstop/internal/ownkit"
	"halfstop/kit"
	"halfstop/shoot"
)

// OwnKitView is the kit: own things and those of the generic catalogue.
type OwnKitView struct {
	Revision int       `json:"revision" doc:"the good revision that it is of"`
	Folder   string    `json:"folder" doc:"where own kit is kept, in words"`
	Query    string    `json:"query"`
	Own      []OwnItem `json:"own"`
	Generic  []OwnItem `json:"generic"`
	Alone    []string  `json:"alone" doc:"where nothing fits: how many things each term fits by itself"`
	AskFirst []OwnItem `json:"ask_first" doc:"heads of the shoot that rest on the generic catalogue, those first whose maker's figure would narrow most"`
}

// OwnItem is one thing of the kit.
type OwnItem struct {
	List    string  `json:"list" words:"heads|modifiers|grids|gels|panels|stands|surfaces|things"`
	Name    string  `json:"name" doc:"empty: there is no such thing, or no more"`
	Kind    string  `json:"kind"`
	Says    string  `json:"says" doc:"its figures in a few words"`
	Like    string  `json:"like"`
	Own     bool    `json:"own"`
	Owner   string  `json:"owner" words:"own|hire|venue" doc:"empty: not said"`
	Have    int     `json:"have" doc:"0: not counted"`
	Kilos   float64 `json:"weight_kg" doc:"of one; 0: not known"`
	Source  string  `json:"source"`
	Uses    int     `json:"uses" doc:"lights of the shoot that it is on"`
	Level   *Rests  `json:"level,omitempty" doc:"of a head: what its level rests on, with the modifier that it is used or rated with"`
	Learned *Taught `json:"learned,omitempty" doc:"what readings have taught of it, in force in every prediction"`
}

// Rests is what a head's level rests on with one modifier.
type Rests struct {
	With     string  `json:"with" doc:"the modifier; 'bare': none"`
	State    string  `json:"state" words:"catalogue|maker|metered" doc:"which of the three"`
	Words    string  `json:"rests_on" doc:"the same in words"`
	Readings int     `json:"readings"`
	SD       float64 `json:"uncertainty_stops" doc:"one standard deviation"`
}

// Taught is what readings have taught of a thing.
type Taught struct {
	Stops    float64 `json:"stops" doc:"over its figures"`
	SD       float64 `json:"sd_stops"`
	Readings int     `json:"readings"`
	Date     string  `json:"date" doc:"of the newest, year-month-day"`
}

// GearView is everything of one thing of the kit.
type GearView struct {
	Revision int         `json:"revision"`
	Item     OwnItem     `json:"item"`
	File     string      `json:"file" doc:"that it is written in, with its line; empty: in none, it is generic"`
	Text     string      `json:"text" doc:"as written; empty: generic"`
	Fields   []GearField `json:"fields"`
	Levels   []Rests     `json:"levels" doc:"of a head: with every modifier that the shoot has it with, and the one it is rated with"`
	Sheet    *SheetView  `json:"sheet,omitempty" doc:"of a head: what its maker's sheet says, to be asked first"`
}

// GearField is one setting of a thing.
type GearField struct {
	Of    shoot.FormField `json:"of" doc:"its kind, unit, bounds, words and meaning"`
	Value string          `json:"value" doc:"as written; empty: not said"`
	Takes string          `json:"takes" doc:"what stands in for it: of what it is like, or of the catalogue"`
	Among []string        `json:"choices" doc:"names that it may take"`
}

// SheetView is what a maker's sheet can say of a head's level.
type SheetView struct {
	Flash  bool     `json:"flash" doc:"its guide number is asked, or lux seconds; else lux at a distance"`
	Guide  string   `json:"guide" doc:"guide number in metres, as typed; empty: not said"`
	ISO    string   `json:"iso" doc:"that it is for; empty: 100"`
	Lux    string   `json:"lux" doc:"illuminance, as typed; of a flash lux seconds"`
	At     string   `json:"at" doc:"distance that it is for"`
	With   string   `json:"with" doc:"the modifier that the sheet states it with"`
	Withs  []string `json:"choices" doc:"modifiers"`
	Now    float64  `json:"now_stops" doc:"one standard deviation now, with that modifier"`
	Then   float64  `json:"then_stops" doc:"and once a figure is typed"`
	Second string   `json:"other" doc:"how else its level is said: 'photometry', 'flux', 'energy', 'readings'; empty: in no other way"`
}

// KitAdd copies a thing under a new name.
type KitAdd struct {
	Like string `json:"like"`
	List string `json:"list" words:"heads|modifiers|grids|gels|panels|stands|surfaces|things"`
	Name string `json:"name"`
}

// KitSet changes settings of a thing. A generic thing gets an entry of its own with the same name.
type KitSet struct {
	List  string       `json:"list" words:"heads|modifiers|grids|gels|panels|stands|surfaces|things"`
	Name  string       `json:"name"`
	Edits []KitSetting `json:"edits"`
}

// KitSetting is one of them.
type KitSetting struct {
	Key   string `json:"key"`
	Value string `json:"value" doc:"as written in the file; empty: take it out"`
}

// KitRemove takes an own thing out.
type KitRemove struct {
	List string `json:"list" words:"heads|modifiers|grids|gels|panels|stands|surfaces|things"`
	Name string `json:"name"`
}

// kitGroups are the lists of things with their groups of settings.
var kitGroups = map[string]string{"heads": "kit.head", "modifiers": "kit.modifier", "grids": "kit.grid",
	"gels": "kit.gelspec", "panels": "kit.panelspec", "stands": "kit.stand", "surfaces": "kit.surfacespec",
	"things": "kit.thing"}

// kits gives the model with the shoot's own kit and the whole.
func (s *Server) kits() (*model, kit.Kit, kit.Kit) {
	own := kit.Kit{}
	m := s.book.snapshot()
	if m != nil {
		own = m.job.File.Kit
	}
	return m, own, kit.Merge(kit.Catalogue(), own)
}

// kitWhere says in words where own kit is kept.
func (s *Server) kitWhere() string {
	s.book.mu.Lock()
	defer s.book.mu.Unlock()
	if dir := s.book.kitFolder(); dir != "" {
		return filepath.Join(absolute(dir), "kit")
	}
	return "memory, until the shoot is saved in a folder"
}

func (s *Server) getOwnKit(w http.ResponseWriter, r *http.Request) error {
	m, own, whole := s.kits()
	v := OwnKitView{Folder: s.kitWhere(), Query: r.FormValue("q"), Own: []OwnItem{}, Generic: []OwnItem{},
		AskFirst: []OwnItem{}}
	if m != nil {
		v.Revision = m.rev
	}
	all := whole.Entries(own)
	found, alone := all, []string(nil)
	if strings.TrimSpace(v.Query) != "" {
		found, alone = kit.Search(all, v.Query)
	}
	v.Alone = some(alone)
	for i := range found {
		if x := itemOf(m, &whole, &found[i]); x.Own {
			v.Own = append(v.Own, x)
		} else {
			v.Generic = append(v.Generic, x)
		}
	}
	for i := range all {
		if all[i].List == "heads" {
			if x := itemOf(m, &whole, &all[i]); x.Uses > 0 && x.Level != nil && x.Level.State == "catalogue" {
				v.AskFirst = append(v.AskFirst, x)
			}
		}
	}
	slices.SortStableFunc(v.AskFirst, func(a, b OwnItem) int {
		switch x, y := float64(a.Uses)*a.Level.SD, float64(b.Uses)*b.Level.SD; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return give(w, v)
}

// itemOf is one thing as the lists show it.
func itemOf(m *model, whole *kit.Kit, e *kit.Entry) OwnItem {
	x := OwnItem{List: e.List, Name: e.Name, Kind: e.Kind, Says: e.Says, Like: e.Like, Own: e.Own, Owner: e.Owner,
		Have: e.Have, Kilos: e.Kilos, Source: e.Source}
	with := usedWith(m, e.List, e.Name, &x.Uses)
	if e.List == "heads" {
		if len(with) == 0 {
			with = []string{ratedWith(whole, e.Name)}
		}
		x.Level = restsOf(m, whole, e.Name, with[0])
	}
	kinds := map[string]string{"heads": "head", "modifiers": "modifier", "grids": "grid", "gels": "gel"}
	if k := kinds[e.List]; k != "" {
		if stops, sd, n, ok := whole.Learned(k, e.Name); ok && n > 0 {
			x.Learned = &Taught{Stops: stops, SD: sd, Readings: n}
			for i := range whole.Lessons {
				if ownkit.About(&whole.Lessons[i], strings.ToLower(k+" "+e.Name)) {
					x.Learned.Date = max(x.Learned.Date, whole.Lessons[i].Date)
				}
			}
		}
	}
	return x
}

// usedWith counts the lights that a thing is on, and gives the modifiers that a head is used with.
func usedWith(m *model, list, name string, uses *int) (with []string) {
	if m == nil {
		return nil
	}
	is := func(x string) bool { return strings.EqualFold(x, name) }
	for i := range m.job.File.Setups {
		for j := range m.job.File.Setups[i].Lights {
			l := &m.job.File.Setups[i].Lights[j]
			on := list == "heads" && is(l.Head) || list == "modifiers" && is(l.Modifier) || list == "grids" &&
				is(l.Grid) || list == "gels" && slices.ContainsFunc(l.Gel, is)
			if !on {
				continue
			}
			*uses++
			if mod := bare(l.Modifier); list == "heads" && !slices.Contains(with, mod) {
				with = append(with, mod)
			}
		}
	}
	return with
}

func bare(modifier string) string {
	if modifier == "" {
		return "bare"
	}
	return modifier
}

func ratedWith(whole *kit.Kit, head string) string {
	h, _ := whole.FindHead(head)
	return bare(h.RatedWith)
}

// restsOf says what the level of a head with a modifier rests on; nil where they make no light.
func restsOf(m *model, whole *kit.Kit, head, with string) *Rests {
	want := kit.Want{Head: head, Modifier: with}
	if m != nil {
		want.Files = m.job.Files
	}
	src, err := whole.Resolve(want)
	if err != nil {
		return nil
	}
	r := &Rests{With: with, State: "catalogue", Words: src.Basis.String(), Readings: src.Basis.Readings,
		SD: float64(src.Uncertainty)}
	switch {
	case src.Basis.Readings > 0:
		r.State = "metered"
	case src.Basis.Maker:
		r.State = "maker"
	}
	return r
}

// entryOf finds one thing.
func entryOf(whole *kit.Kit, own kit.Kit, list, name string) (*kit.Entry, error) {
	if kitGroups[list] == "" {
		return nil, refuse(http.StatusBadRequest,
			"list: write heads, modifiers, grids, gels, panels, stands, surfaces or things")
	}
	all := whole.Entries(own)
	for i := range all {
		if all[i].List == list && strings.EqualFold(all[i].Name, name) {
			return &all[i], nil
		}
	}
	return nil, refuse(http.StatusNotFound, "the kit has no %s called %q", strings.TrimSuffix(list, "s"), name)
}

func (s *Server) getThing(w http.ResponseWriter, r *http.Request) error {
	m, own, whole := s.kits()
	list := r.FormValue("list")
	e, err := entryOf(&whole, own, list, r.FormValue("name"))
	var bad *refusal
	switch {
	case errors.As(err, &bad) && bad.status == http.StatusNotFound:
		return give(w, GearView{Fields: []GearField{}, Levels: []Rests{}})
	case err != nil:
		return err
	}
	v := GearView{Item: itemOf(m, &whole, e), Fields: []GearField{}, Levels: []Rests{}}
	if m != nil {
		v.Revision = m.rev
	}
	at, in := s.placeOf(m, list, e.Name)
	if at.Node != nil {
		v.File, v.Text = fmt.Sprintf("%s, line %d", in, at.Line), at.Node.Write()
	}
	names := namesOf(m)
	merged := reflect.ValueOf(mergedEntry(&whole, list, e.Name))
	for _, f := range shoot.Form()[kitGroups[list]].Fields {
		if skipped(f) {
			continue
		}
		x := GearField{Of: f, Takes: settingText(merged, f.Key), Among: []string{}}
		if f.Names != "" {
			x.Among = some(names[f.Names])
		}
		if n := valueOf(at.Node, f.Key); n != nil {
			x.Value, x.Takes = strings.TrimSpace(n.Write()), ""
			if n.Text != "" {
				x.Value = n.Text
			}
		}
		v.Fields = append(v.Fields, x)
	}
	if list == "heads" {
		s.levelsOf(m, &whole, &v, at.Node)
	}
	return give(w, v)
}
