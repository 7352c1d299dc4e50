package kit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/kind"
)

// Entry is one thing of the kit as a list shows it and a search finds it.
type Entry struct {
	List   string  `json:"list"` // 'heads', 'modifiers', … as in a file of kit
	Name   string  `json:"name"`
	Kind   string  `json:"kind"`           // 'flash', 'softbox', 'boom', 'cable'
	Says   string  `json:"says,omitempty"` // its figures in a few words
	Like   string  `json:"like,omitempty"`
	Own    bool    `json:"own"` // written in a file of the shoot's
	Owner  string  `json:"owner,omitempty"`
	Have   int     `json:"have"`      // 0: not counted
	Kilos  float64 `json:"weight_kg"` // of one; 0: not known
	Source string  `json:"source,omitempty"`

	size  []float64 // of its face or itself, metres, largest first
	power float64   // Ws of a flash, W of a lamp
	load  float64   // kg that it may carry
	high  float64   // metres
	words string    // what a word of a search may be part of
}

// softFrom is the size from which a face counts as soft, metres: at portrait distance it is seen
// under 15° and more (common practice, no source).
const softFrom = 0.4

// Entries lists everything in k, own things first; own is what the shoot's own files say, before
// Merge.
func (k *Kit) Entries(own Kit) []Entry {
	mine := map[string]bool{}
	mark(mine, "heads", own.Heads)
	mark(mine, "modifiers", own.Modifiers)
	mark(mine, "grids", own.Grids)
	mark(mine, "gels", own.Gels)
	mark(mine, "panels", own.Panels)
	mark(mine, "stands", own.Stands)
	mark(mine, "surfaces", own.Surfaces)
	mark(mine, "things", own.Things)
	var out []Entry
	add := func(e Entry, more ...string) {
		e.Own = mine[e.List+"\x00"+key(e.Name)]
		if e.Own && e.Owner == "" && e.Have > 0 {
			e.Owner = "own"
		}
		slices.Sort(e.size)
		slices.Reverse(e.size)
		e.words = strings.ToLower(strings.Join(append(more, e.List, strings.TrimSuffix(e.List, "s"), e.Name, e.Kind,
			e.Says,
			e.Owner), " "))
		out = append(out, e)
	}
	for _, h := range k.Heads {
		e := Entry{List: "heads", Name: h.Name, Kind: h.Kind, Like: h.Like, Owner: h.Owner, Have: h.Have,
			Kilos:  float64(h.Weight),
			Source: h.Source, power: float64(h.Watts)}
		more := []string{h.Feed, string(h.Mount), "head", "light"}
		if h.Feed == "both" {
			more = append(more, "mains battery")
		}
		if h.Kind == "flash" {
			e.power, e.Says = float64(h.Energy), shown(h.Energy)
			switch {
			case h.Energy > 0:
			case h.Guide > 0:
				e.Says = "guide number " + h.Guide.String()
			default:
				e.Says = ""
			}
		} else {
			if h.Watts > 0 {
				e.Says = h.Watts.String()
			}
			more = append(more, "lamp led")
		}
		switch c := h.Colour; {
		case c == nil:
		case len(c.Primaries) > 0 || len(c.Emitters) > 0:
			more = append(more, "colour rgb mixing")
		case c.Mixes():
			more = append(more, "bicolour bi-colour")
		default:
			more = append(more, c.Lamp)
		}
		if h.Hot {
			more = append(more, "hot tungsten")
		}
		e.size = sizes(h.Face)
		add(e, more...)
	}
	for _, m := range k.Modifiers {
		if key(m.Name) == "bare" {
			continue
		}
		e := Entry{List: "modifiers", Name: m.Name, Kind: string(m.Kind), Like: m.Like, Owner: m.Owner, Have: m.Have,
			Kilos: float64(m.Weight), Source: m.Source, size: sizes(m.Face)}
		e.Says = fmt.Sprintf("%s, %+.1f st", m.Face.text(), m.gain())
		if m.Face == nil {
			e.Says = fmt.Sprintf("%+.1f st", m.gain())
		}
		soft := "hard"
		if len(e.size) > 0 && slices.Max(e.size) >= softFrom && m.Kind != "dish" && m.Kind != "parabolic" {
			soft = "soft"
		}
		kd, _ := kind.FindModifier(m.Kind)
		add(e, soft, kd.Says, "box")
	}
	for _, g := range k.Grids {
		add(Entry{List: "grids", Name: g.Name, Kind: g.Kind, Says: "cuts at " + g.Cut.String(), Like: g.Like,
			Owner: g.Owner,
			Have:  g.Have, Kilos: float64(g.Weight), Source: g.Source}, "honeycomb egg crate")
	}
	counted := map[string]GelSpec{}
	for _, g := range k.Gels {
		counted[key(g.Name)] = g
	}
	reported := map[string]bool{}
	for _, name := range k.GelNames() {
		if reported[key(name)] {
			continue
		}
		reported[key(name)] = true
		g := counted[key(name)]
		add(Entry{List: "gels", Name: name, Kind: "gel", Like: g.Like, Owner: g.Owner, Have: g.Have,
			Source: g.Source}, "sheet filter colour")
	}
	for _, p := range k.Panels {
		kd, _ := kind.FindPanel(p.Kind)
		e := Entry{List: "panels", Name: p.Name, Kind: string(p.Kind), Says: p.Size[0].String() + " x " +
			p.Size[1].String(),
			Like: p.Like, Owner: p.Owner, Have: p.Have, Kilos: float64(p.Weight), Source: p.Source,
			size: []float64{float64(p.Size[0]), float64(p.Size[1])}}
		soft := ""
		if kd.Passes {
			soft = "soft"
		}
		add(e, soft, kd.Says, p.Face, p.Back)
	}
	for _, s := range k.Stands {
		kd, _ := kind.FindStand(s.Kind)
		e := Entry{List: "stands", Name: s.Name, Kind: string(s.Kind), Like: s.Like, Owner: s.Owner, Have: s.Have,
			Kilos: float64(s.Weight), Source: s.Source, load: float64(s.Load), high: float64(s.Highest)}
		var says []string
		if s.Load > 0 {
			says = append(says, "carries "+s.Load.String())
		}
		if s.Highest > 0 {
			says = append(says, "to "+s.Highest.String())
		}
		e.Says = strings.Join(says, ", ")
		add(e, kd.Says)
	}
	for _, s := range k.Surfaces {
		add(Entry{List: "surfaces", Name: s.Name, Kind: "surface", Says: s.text(), Like: s.Like, Source: s.Source},
			"wall paint cloth")
	}
	for _, x := range k.Things {
		e := Entry{List: "things", Name: x.Name, Kind: x.Kind, Like: x.Like, Owner: x.Owner, Have: x.Have,
			Kilos: float64(x.Weight), Source: x.Source, power: float64(x.Watts)}
		if x.Watts > 0 {
			e.Says = x.Watts.String()
		}
		add(e)
	}
	slices.SortStableFunc(out, func(a, b Entry) int {
		switch {
		case a.Own == b.Own:
			return 0
		case a.Own:
			return -1
		}
		return 1
	})
	return out
}

// text says what a surface gives back.
func (s *SurfaceSpec) text() string {
	switch {
	case len(s.Spectrum) > 0:
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range s.Spectrum {
			lo, hi = min(lo, p[1]), max(hi, p[1])
		}
		return fmt.Sprintf("a spectrum, %.0f to %.0f %% reflected", 100*lo, 100*hi)
	case s.Diffuse != nil:
		return fmt.Sprintf("%.0f %% reflected", 100**s.Diffuse)
	}
	return s.Colour
}

func sizes(f *Face) (out []float64) {
	if f == nil {
		return nil
	}
	for _, s := range f.Size {
		if s > 0 && !math.IsInf(float64(s), 0) {
			out = append(out, float64(s))
		}
	}
	return out
}
