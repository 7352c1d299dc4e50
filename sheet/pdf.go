package sheet

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"sort"
	"strings"

	"golang.org/x/image/font/sfnt"
)

// PDF returns all pages as one vector document with the typeface embedded, reduced to the letters
// used. Equal drawings give equal bytes.
//
// Source: ISO 32000-1:2008, 7.5 (file structure), 8.5 (paths), 9.7 (composite fonts), 9.10.3
// (ToUnicode). Check: TestPDFIsReadBack, TestPDFIsRepeatable.
func (d *Drawing) PDF() []byte {
	w := &pdfWriter{}
	catalog, pages := w.reserve(), w.reserve()

	// Fonts: one set of objects for each weight in use.
	fonts := ""
	for _, weight := range []int{400, 500, 600} {
		used := map[rune]bool{}
		for _, g := range d.pages {
			for r := range g.glyphs(weight) {
				used[r] = true
			}
		}
		if len(used) > 0 {
			fonts += fmt.Sprintf("/F%d %d 0 R ", weight, w.font(weight, used))
		}
	}

	// Pages.
	kids := ""
	var pageIDs []int
	for _, g := range d.pages {
		var body bytes.Buffer
		pictures := ""
		fmt.Fprintf(&body, "%s 0 0 %s 0 %s cm\n", num6(1/pt), num6(-1/pt), num6(g.h/pt))
		n := 0
		for _, it := range g.items {
			switch {
			case it.img != nil:
				id := w.picture(it.img)
				pictures += fmt.Sprintf("/I%d %d 0 R ", n, id)
				fmt.Fprintf(&body, "q %s 0 0 %s %s %s cm /I%d Do Q\n", num(it.box.w()), num(-it.box.h()),
					num(it.box.x0), num(it.box.y1), n)
				n++
			case it.text != "":
				pdfText(&body, it)
			default:
				pdfPath(&body, it)
			}
		}
		content := w.stream("", body.Bytes())
		kid := w.object(fmt.Sprintf(
			"<</Type/Page/Parent %d 0 R/MediaBox[0 0 %s %s]/Contents %d 0 R/Resources<</Font<<%s>>/XObject<<%s>>>>>>",
			pages, num(g.w/pt), num(g.h/pt), content, fonts, pictures))
		kids += fmt.Sprintf("%d 0 R ", kid)
		pageIDs = append(pageIDs, kid)
	}
	w.fill(pages, fmt.Sprintf("<</Type/Pages/Kids[%s]/Count %d>>", kids, len(d.pages)))
	outline := w.outline(d.marks, pageIDs)
	w.fill(catalog, fmt.Sprintf(
		"<</Type/Catalog/Pages %d 0 R/Lang(en)%s/ViewerPreferences<</DisplayDocTitle true/PrintScaling/None>>>>",
		pages, outline))
	info := "<</Title " + pdfString(d.title) + "/Producer(halfstop)"
	if d.date != "" {
		info += "/CreationDate(D:" + d.date + ")"
	}
	return w.close(catalog, w.object(info+">>"))
}

// outline writes the bookmarks and gives their entry in the catalog; empty where there are none.
//
// Source: ISO 32000-1:2008, 12.3.3.
func (w *pdfWriter) outline(marks []bookmark, pages []int) string {
	if len(marks) == 0 {
		return ""
	}
	root := w.reserve()
	ids := make([]int, len(marks))
	for i := range marks {
		ids[i] = w.reserve()
	}
	for i, m := range marks {
		links := ""
		if i > 0 {
			links += fmt.Sprintf("/Prev %d 0 R", ids[i-1])
		}
		if i+1 < len(marks) {
			links += fmt.Sprintf("/Next %d 0 R", ids[i+1])
		}
		w.fill(ids[i], fmt.Sprintf("<</Title %s/Parent %d 0 R%s/Dest[%d 0 R/Fit]>>", pdfString(m.title), root, links,
			pages[m.page]))
	}
	w.fill(root, fmt.Sprintf("<</Type/Outlines/First %d 0 R/Last %d 0 R/Count %d>>", ids[0], ids[len(ids)-1], len(ids)))
	return fmt.Sprintf("/Outlines %d 0 R/PageMode/UseOutlines", root)
}

// pdfWriter numbers objects and records their offsets.
type pdfWriter struct {
	objects [][]byte
}

func (w *pdfWriter) reserve() int {
	w.objects = append(w.objects, nil)
	return len(w.objects)
}

func (w *pdfWriter) fill(id int, body string) { w.objects[id-1] = []byte(body) }

func (w *pdfWriter) object(body string) int {
	id := w.reserve()
	w.fill(id, body)
	return id
}

func (w *pdfWriter) stream(dict string, data []byte) int {
	var z bytes.Buffer
	zw := zlib.NewWriter(&z)
	zw.Write(data)
	zw.Close()
	return w.object(fmt.Sprintf("<<%s/Filter/FlateDecode/Length %d>>\nstream\n%s\nendstream", dict, z.Len(), z.Bytes()))
}

func (w *pdfWriter) close(catalog, info int) []byte {
	var b bytes.Buffer
	b.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	at := make([]int, len(w.objects))
	for i, o := range w.objects {
		at[i] = b.Len()
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, p := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", p)
	}
	fmt.Fprintf(&b, "trailer\n<</Size %d/Root %d 0 R/Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(at)+1, catalog,
		info, start)
	return b.Bytes()
}

// font writes one weight as a composite font whose codes are glyph indices.
func (w *pdfWriter) font(weight int, used map[rune]bool) int {
	c := cutOf(weight)
	var letters []rune
	for r := range used {
		letters = append(letters, r)
	}
	sort.Slice(letters, func(i, j int) bool { return letters[i] < letters[j] })
	byGlyph := map[sfnt.GlyphIndex]rune{}
	var order []int
	for _, r := range letters {
		g := c.glyph(r)
		if _, ok := byGlyph[g]; !ok {
			byGlyph[g] = r
			order = append(order, int(g))
		}
	}
	sort.Ints(order)

	file := c.subset(used)
	data := w.stream(fmt.Sprintf("/Length1 %d", len(file)), file)
	name := fmt.Sprintf("%s+Inter-%s", tag(letters),
		map[int]string{400: "Regular", 500: "Medium", 600: "SemiBold"}[weight])
	desc := w.object(fmt.Sprintf(
		"<</Type/FontDescriptor/FontName/%s/Flags 4/FontBBox[-742 -323 2580 1114]/ItalicAngle 0/Ascent "+
			"969/Descent -242/CapHeight 727/StemV %d/FontFile2 %d 0 R>>",
		name, weight/5, data))
	widths := ""
	for _, g := range order {
		widths += fmt.Sprintf("%d[%s]", g, num(float64(c.advance(sfnt.GlyphIndex(g)))*1000/upem))
	}
	cid := w.object(fmt.Sprintf(
		"<</Type/Font/Subtype/CIDFontType2/BaseFont/%s"+
			"/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>"+
			"/FontDescriptor %d 0 R/CIDToGIDMap/Identity/DW 1000/W[%s]>>",
		name, desc, widths))
	var cm strings.Builder
	cm.WriteString(
		"/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CIDSystemInfo <</Registry (Adobe) " +
			"/Ordering (UCS) /Supplement 0>> def\n/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 " +
			"begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	for i := 0; i < len(order); i += 100 {
		part := order[i:min(i+100, len(order))]
		fmt.Fprintf(&cm, "%d beginbfchar\n", len(part))
		for _, g := range part {
			fmt.Fprintf(&cm, "<%04X> <%04X>\n", g, byGlyph[sfnt.GlyphIndex(g)])
		}
		cm.WriteString("endbfchar\n")
	}
	cm.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n")
	uni := w.stream("", []byte(cm.String()))
	return w.object(fmt.Sprintf(
		"<</Type/Font/Subtype/Type0/BaseFont/%s/Encoding/Identity-H/DescendantFonts[%d 0 R]/ToUnicode %d 0 R>>", name,
		cid, uni))
}

// tag is the six-letter prefix of a subset font's name, from a hash of its letters.
func tag(letters []rune) string {
	h := uint32(2166136261)
	for _, r := range letters {
		h = (h ^ uint32(r)) * 16777619
	}
	var t [6]byte
	for i := range t {
		t[i] = 'A' + byte(h%26)
		h /= 26
	}
	return string(t[:])
}

// picture writes an opaque 8-bit picture.
func (w *pdfWriter) picture(m image.Image) int {
	b := m.Bounds()
	data := make([]byte, 0, b.Dx()*b.Dy()*3)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := m.At(x, y).RGBA()
			data = append(data, byte(r>>8), byte(g>>8), byte(bl>>8))
		}
	}
	return w.stream(fmt.Sprintf(
		"/Type/XObject/Subtype/Image/Width %d/Height %d/ColorSpace/DeviceRGB/BitsPerComponent 8", b.Dx(), b.Dy()), data)
}

func pdfText(b *bytes.Buffer, it item) {
	c := cutOf(it.weight)
	glyphs, _ := c.run(it.text)
	var tj strings.Builder
	tj.WriteString("[<")
	x := 0
	for _, p := range glyphs {
		if d := p.x - x; d != 0 {
			fmt.Fprintf(&tj, ">%s<", num(-float64(d)*1000/upem))
			x = p.x
		}
		fmt.Fprintf(&tj, "%04X", p.g)
		x += c.advance(p.g)
	}
	tj.WriteString(">] TJ")
	matrix := fmt.Sprintf("1 0 0 -1 %s %s Tm", num(it.at.x), num(it.at.y))
	if it.turned {
		matrix = fmt.Sprintf("0 -1 -1 0 %s %s Tm", num(it.at.x), num(it.at.y))
	}
	// The halo is a stroke of the same letters, marked as an artefact so that text search finds
	// each word once.
	if it.halo > 0 {
		fmt.Fprintf(b, "/Artifact BMC ")
		for _, o := range glyphs {
			var subs []sub
			for _, s := range c.outline(o.g) {
				subs = append(subs, sub{it.glyphPoints(thinned(s, 12).pts, float64(o.x)), true}) // 12 units: 1/170 em
			}
			if len(subs) > 0 {
				pdfPath(b, item{subs: subs, stroke: white, width: 2 * it.halo})
			}
		}
		b.WriteString("EMC\n")
	}
	fmt.Fprintf(b, "BT %s /F%d %s Tf %s %s ET\n", it.fill.pdf("rg"), it.weight, num(it.size), matrix, tj.String())
}

// glyphPoints maps an outline in font units to the paper.
func (it item) glyphPoints(in []xy, x float64) []xy {
	k := it.size / upem
	out := make([]xy, len(in))
	for i, p := range in {
		q := xy{(p.x + x) * k, p.y * k}
		if it.turned {
			q = xy{q.y, -q.x}
		}
		out[i] = it.at.add(q)
	}
	return out
}

func pdfPath(b *bytes.Buffer, it item) {
	paint := ""
	if it.fill.on {
		b.WriteString(it.fill.pdf("rg") + " ")
		paint = "f"
	}
	if it.stroke.on && it.width > 0 {
		caps := "1 J 1 j"
		if it.square {
			caps = "0 J 0 j"
		}
		dash := "[] 0 d"
		if len(it.dash) > 0 {
			var d []string
			for _, v := range it.dash {
				d = append(d, num(v))
			}
			dash = "[" + strings.Join(d, " ") + "] 0 d"
			if !it.square {
				caps = "0 J 1 j"
			}
		}
		fmt.Fprintf(b, "%s %s w %s %s ", it.stroke.pdf("RG"), num(it.width), caps, dash)
		if paint == "" {
			paint = "S"
		} else {
			paint = "B"
		}
	}
	if paint == "" {
		return
	}
	for _, s := range it.subs {
		for i, p := range s.pts {
			op := "l"
			if i == 0 {
				op = "m"
			}
			fmt.Fprintf(b, "%s %s %s ", num(p.x), num(p.y), op)
		}
		if s.closed {
			b.WriteString("h ")
		}
	}
	b.WriteString(paint + "\n")
}

func (c ink) pdf(op string) string {
	return fmt.Sprintf("%s %s %s %s", num(float64(c.r)/255), num(float64(c.g)/255), num(float64(c.b)/255), op)
}

func num6(v float64) string {
	s := fmt.Sprintf("%.6f", v)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// pdfString writes a text string as UTF-16.
func pdfString(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, r := range s {
		if r > 0xffff {
			r = '?'
		}
		fmt.Fprintf(&b, "%04X", r)
	}
	b.WriteString(">")
	return b.String()
}
