package sheet

import (
	"embed"
	"sort"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The typeface is Inter, SIL OFL 1.1 (font/OFL.txt), cut to Latin, Greek,
// Cyrillic and the trade's signs, with tabular figures baked into the
// character map and the kerning of ASCII pairs as a plain kern table.
//
//go:embed font/inter-400.ttf font/inter-500.ttf font/inter-600.ttf font/OFL.txt
var fontFiles embed.FS

const upem = 2048 // units per em of all three weights

// cut is one weight of the typeface.
type cut struct {
	raw  []byte
	font *sfnt.Font

	mu     sync.Mutex
	buf    sfnt.Buffer
	gid    map[rune]sfnt.GlyphIndex
	adv    map[sfnt.GlyphIndex]int
	kern   map[[2]sfnt.GlyphIndex]int
	shapes map[sfnt.GlyphIndex][]sub
}

var cuts = sync.OnceValue(func() map[int]*cut {
	m := map[int]*cut{}
	for w, name := range map[int]string{400: "font/inter-400.ttf", 500: "font/inter-500.ttf",
		600: "font/inter-600.ttf"} {
		b, err := fontFiles.ReadFile(name)
		if err != nil {
			panic(err) // embedded at build time
		}
		f, err := sfnt.Parse(b)
		if err != nil {
			panic(err)
		}
		m[w] = &cut{raw: b, font: f, gid: map[rune]sfnt.GlyphIndex{}, adv: map[sfnt.GlyphIndex]int{},
			kern: map[[2]sfnt.GlyphIndex]int{}, shapes: map[sfnt.GlyphIndex][]sub{}}
	}
	return m
})

func cutOf(weight int) *cut {
	switch {
	case weight >= 600:
		return cuts()[600]
	case weight >= 500:
		return cuts()[500]
	}
	return cuts()[400]
}

// glyph gives the glyph of r; 0 where the typeface has none.
func (c *cut) glyph(r rune) sfnt.GlyphIndex {
	c.mu.Lock()
	defer c.mu.Unlock()
	if g, ok := c.gid[r]; ok {
		return g
	}
	g, err := c.font.GlyphIndex(&c.buf, r)
	if err != nil {
		g = 0
	}
	c.gid[r] = g
	return g
}

// advance in font units.
func (c *cut) advance(g sfnt.GlyphIndex) int {
	c.mu.Lock()
	defer c.mu.Unlock()
	if a, ok := c.adv[g]; ok {
		return a
	}
	a, err := c.font.GlyphAdvance(&c.buf, g, fixed.I(upem), font.HintingNone)
	if err != nil {
		a = 0
	}
	c.adv[g] = a.Round()
	return a.Round()
}

// kerning between two glyphs, font units.
func (c *cut) kerning(a, b sfnt.GlyphIndex) int {
	c.mu.Lock()
	defer c.mu.Unlock()
	k := [2]sfnt.GlyphIndex{a, b}
	if v, ok := c.kern[k]; ok {
		return v
	}
	v, err := c.font.Kern(&c.buf, a, b, fixed.I(upem), font.HintingNone)
	if err != nil {
		v = 0
	}
	c.kern[k] = v.Round()
	return v.Round()
}

// outline gives the glyph as closed polygons in font units, y down, curves flattened to a few
// hundredths of an em.
func (c *cut) outline(g sfnt.GlyphIndex) []sub {
	c.mu.Lock()
	defer c.mu.Unlock()
	if s, ok := c.shapes[g]; ok {
		return s
	}
	segs, err := c.font.LoadGlyph(&c.buf, g, fixed.I(upem), nil)
	var out []sub
	if err == nil {
		out = flatten(segs)
	}
	c.shapes[g] = out
	return out
}

func flatten(segs sfnt.Segments) []sub {
	var out []sub
	var cur []xy
	at := func(p fixed.Point26_6) xy { return xy{float64(p.X) / 64, float64(p.Y) / 64} }
	flush := func() {
		if len(cur) > 2 {
			out = append(out, sub{cur, true})
		}
		cur = nil
	}
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			flush()
			cur = append(cur, at(s.Args[0]))
		case sfnt.SegmentOpLineTo:
			cur = append(cur, at(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			a, b, d := cur[len(cur)-1], at(s.Args[0]), at(s.Args[1])
			for i := 1; i <= 8; i++ {
				t := float64(i) / 8
				cur = append(cur, a.lerp(b, t).lerp(b.lerp(d, t), t))
			}
		case sfnt.SegmentOpCubeTo:
			a, b, d, e := cur[len(cur)-1], at(s.Args[0]), at(s.Args[1]), at(s.Args[2])
			for i := 1; i <= 10; i++ {
				t := float64(i) / 10
				ab, bd, de := a.lerp(b, t), b.lerp(d, t), d.lerp(e, t)
				cur = append(cur, ab.lerp(bd, t).lerp(bd.lerp(de, t), t))
			}
		}
	}
	flush()
	return out
}

// placed is a glyph of a run with its offset in font units.
type placed struct {
	r rune
	g sfnt.GlyphIndex
	x int
}

// run lays s out on one line. The second result is its advance in font units.
func (c *cut) run(s string) ([]placed, int) {
	var out []placed
	x := 0
	var last sfnt.GlyphIndex
	for i, r := range []rune(s) {
		g := c.glyph(r)
		if i > 0 {
			x += c.kerning(last, g)
		}
		out = append(out, placed{r, g, x})
		x += c.advance(g)
		last = g
	}
	return out, x
}

// width of s in millimetres.
func (f face) width(s string) float64 {
	_, adv := cutOf(f.weight).run(legible(s))
	return float64(adv) / upem * f.size * pt
}

// covered reports whether every weight has r.
func covered(r rune) bool {
	for _, w := range []int{400, 500, 600} {
		if cutOf(w).glyph(r) == 0 {
			return false
		}
	}
	return true
}

// legible replaces what the typeface cannot show: control characters by spaces, unknown letters by
// an empty box. Runs of white space become one.
func legible(s string) string {
	plain := true
	for _, r := range s {
		if r < 0x20 || r > 0x7e {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < 0x20 || r == 0x7f || r == 0x2028 || r == 0x2029 || r == 0x200b || r == 0xfeff:
			b.WriteByte(' ')
		case r == 0xfffd || !covered(r):
			b.WriteRune('□')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// missing lists the letters of s that the typeface lacks.
func missing(s string) []rune {
	var out []rune
	for _, r := range s {
		if r >= 0x20 && !covered(r) {
			out = append(out, r)
		}
	}
	return out
}

// wrap breaks s into lines no wider than w mm, at spaces but not at no-break spaces. A word that is
// too long is broken inside.
func (f face) wrap(s string, w float64) []string {
	var lines []string
	cur := ""
	for _, word := range strings.FieldsFunc(legible(s), func(r rune) bool { return r == ' ' }) {
		try := word
		if cur != "" {
			try = cur + " " + word
		}
		if f.width(try) <= w {
			cur = try
			continue
		}
		if cur != "" {
			lines = append(lines, cur)
			cur = ""
		}
		for f.width(word) > w {
			rs := []rune(word)
			n := max(1, sort.Search(len(rs), func(n int) bool { return f.width(string(rs[:n+1])) > w }))
			if n >= len(rs) {
				break
			}
			lines = append(lines, string(rs[:n]))
			word = string(rs[n:])
		}
		cur = word
	}
	if cur != "" {
		lines = append(lines, cur)
	}
	return lines
}

// clip shortens s to w with an ellipsis.
func (f face) clip(s string, w float64) string {
	s = legible(s)
	if f.width(s) <= w {
		return s
	}
	rs := []rune(s)
	n := sort.Search(len(rs), func(n int) bool { return f.width(string(rs[:n+1])+"…") > w })
	return strings.TrimRight(string(rs[:min(n, len(rs))]), " ") + "…"
}
