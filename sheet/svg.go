package sheet

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image/png"
	"math"
	"strconv"
	"strings"
)

// SVG returns one page as a standalone picture in millimetres. page counts from 1; any other number
// gives the first. Text stays text. The typeface is embedded, reduced to the letters used.
func (d *Drawing) SVG(pageNo ...int) []byte {
	n := 0
	if len(pageNo) > 0 && pageNo[0] >= 1 && pageNo[0] <= len(d.pages) {
		n = pageNo[0] - 1
	}
	g := d.pages[n]
	var b bytes.Buffer
	fmt.Fprintf(&b,
		`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img">`+"\n",
		num(g.w), num(g.h), num(g.w), num(g.h))
	fmt.Fprintf(&b, "<title>%s</title>\n<style>\n", esc(d.title))
	for _, w := range []int{400, 500, 600} {
		used := g.glyphs(w)
		if len(used) == 0 {
			continue
		}
		f := cutOf(w).subset(used)
		fmt.Fprintf(&b, "@font-face{font-family:\"Sheet\";font-weight:%d;src:url(data:font/ttf;base64,%s)}\n", w,
			base64.StdEncoding.EncodeToString(f))
	}
	b.WriteString("text{font-family:\"Sheet\",\"Inter\",sans-serif;white-space:pre;" +
		"text-rendering:geometricPrecision;font-variant-ligatures:none}\n")
	b.WriteString("path{stroke-linecap:round;stroke-linejoin:round}\n" +
		".s{stroke-linecap:butt;stroke-linejoin:miter}\n.d{stroke-linecap:butt}\n</style>\n")
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", num(g.w), num(g.h))
	for _, it := range g.items {
		switch {
		case it.img != nil:
			var p bytes.Buffer
			if png.Encode(&p, it.img) != nil {
				continue
			}
			fmt.Fprintf(&b,
				`<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`+"\n",
				num(it.box.x0), num(it.box.y0), num(it.box.w()), num(it.box.h()),
				base64.StdEncoding.EncodeToString(p.Bytes()))
		case it.text != "":
			svgText(&b, it)
		default:
			svgPath(&b, it)
		}
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func svgText(b *bytes.Buffer, it item) {
	turn := ""
	if it.turned {
		turn = fmt.Sprintf(` transform="rotate(-90 %s %s)"`, num(it.at.x), num(it.at.y))
	}
	halo := ""
	if it.halo > 0 {
		halo = fmt.Sprintf(` stroke="#fff" stroke-width="%s" stroke-linejoin="round" paint-order="stroke"`,
			num(2*it.halo))
	}
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" font-weight="%d" fill="%s"%s%s>%s</text>`+"\n",
		num(it.at.x), num(it.at.y), num(it.size), it.weight, it.fill.hex(), halo, turn, esc(it.text))
}

func svgPath(b *bytes.Buffer, it item) {
	b.WriteString(`<path d="`)
	for _, s := range it.subs {
		for i, p := range s.pts {
			switch i {
			case 0:
				b.WriteString("M")
			case 1:
				b.WriteString("L")
			default:
				b.WriteString(" ")
			}
			b.WriteString(num(p.x) + " " + num(p.y))
		}
		if s.closed {
			b.WriteString("Z")
		}
	}
	b.WriteString(`"`)
	switch {
	case it.square:
		b.WriteString(` class="s"`)
	case len(it.dash) > 0:
		b.WriteString(` class="d"`)
	}
	fmt.Fprintf(b, ` fill="%s"`, it.fill.hex())
	if it.stroke.on && it.width > 0 {
		fmt.Fprintf(b, ` stroke="%s" stroke-width="%s"`, it.stroke.hex(), num(it.width))
		if len(it.dash) > 0 {
			var d []string
			for _, v := range it.dash {
				d = append(d, num(v))
			}
			fmt.Fprintf(b, ` stroke-dasharray="%s"`, strings.Join(d, " "))
		}
	}
	b.WriteString("/>\n")
}

func (c ink) hex() string {
	if !c.on {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", c.r, c.g, c.b)
}

// num prints millimetres to the micrometre, without trailing zeros.
func num(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func esc(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(s)
}

// glyphs returns the letters of one weight that the page uses.
func (g *page) glyphs(weight int) map[rune]bool {
	m := map[rune]bool{}
	for _, it := range g.items {
		if it.text != "" && it.weight == weight {
			for _, r := range it.text {
				m[r] = true
			}
		}
	}
	return m
}
