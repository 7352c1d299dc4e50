package main

import (
	"bytes"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"slices"
	"strings"

	"halfstop/answer"
	"halfstop/picture"
)

// plot is where the hours and stops of a day lie on a picture 900 wide.
type plot struct {
	d              *answer.SunDay
	lo, hi         float64 // stops shown
	x0, y0, x1, y1 float64
}

// inks tell points apart on white, also for the commonest colour blindness (Okabe & Ito 2008).
var inks = []color.RGBA{{0, 114, 178, 255}, {213, 94, 0, 255}, {0, 158, 115, 255}, {204, 121, 167, 255},
	{86, 180, 233, 255},
	{230, 159, 0, 255}}

func plotOf(d *answer.SunDay) plot {
	p := plot{d: d, lo: -1, hi: 1, x0: 60, y0: 40, x1: 720, y1: 420}
	for _, q := range d.Points {
		for _, v := range q.Stops {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				p.lo, p.hi = min(p.lo, math.Floor(v)), max(p.hi, math.Ceil(v))
			}
		}
	}
	p.lo = max(p.lo, p.hi-16)
	return p
}

func (p plot) x(minute int) float64 {
	t := p.d.Times
	span := max(1, t[len(t)-1].Minute-t[0].Minute)
	return p.x0 + (p.x1-p.x0)*float64(minute-t[0].Minute)/float64(span)
}

func (p plot) y(stops float64) float64 {
	return p.y1 - (p.y1-p.y0)*(max(p.lo, min(p.hi, stops))-p.lo)/(p.hi-p.lo)
}

// parts calls line and text for everything on the plot.
func (p plot) parts(line func(x0, y0, x1, y1 float64, c color.RGBA, wide bool),
	text func(x, y float64, s string, c color.RGBA)) {
	black, pale, grey := color.RGBA{30, 30, 30, 255}, color.RGBA{215, 215, 215, 255}, color.RGBA{95, 95, 95, 255}
	text(p.x0, 22, fmt.Sprintf("%s: all light against %s, stops (wide: the sun itself)", p.d.Setup,
		answer.ClockText(p.d.At)), black)
	step := max(1, math.Ceil((p.hi-p.lo)/10))
	for s := math.Ceil(p.lo/step) * step; s <= p.hi; s += step { // nought, the setup's own hour, is one of them
		line(p.x0, p.y(s), p.x1, p.y(s), pale, false)
		text(12, p.y(s)+4, strings.NewReplacer("+0", "0", "-", "−").Replace(fmt.Sprintf("%+.0f st", s)), black)
	}
	t := p.d.Times
	hours := 1 + (t[len(t)-1].Minute-t[0].Minute)/480
	for m := (t[0].Minute + 59) / 60 * 60; m <= t[len(t)-1].Minute; m += 60 * hours {
		line(p.x(m), p.y0, p.x(m), p.y1, pale, false)
		text(p.x(m)-17, p.y1+18, answer.ClockText(m), black)
	}
	if p.d.At >= t[0].Minute && p.d.At <= t[len(t)-1].Minute {
		line(p.x(p.d.At), p.y0, p.x(p.d.At), p.y1, color.RGBA{120, 120, 120, 255}, false)
	}
	y := p.y0 + 14
	for n, group := range p.alike() {
		// After the last ink they begin again, dashed.
		c, dashed := inks[n%len(inks)], n/len(inks)%2 == 1
		for x := p.x1 + 8; x < p.x1+26; x += 12 {
			line(x, y-4, x+6, y-4, c, false)
			if !dashed {
				line(x+6, y-4, x+12, y-4, c, false)
			}
		}
		for _, q := range group {
			text(p.x1+36, y, clipWord(q.Name, 20), c)
			y += 15
		}
		q := group[0]
		text(p.x1+36, y, weatherText(q), grey)
		if y += 15; kelvinText(q.Kelvin) != "" {
			text(p.x1+36, y, kelvinText(q.Kelvin), grey)
			y += 15
		}
		y += 6
		dash := max(1, len(t)/60)
		for i := 0; i+1 < len(t); i++ {
			if dashed && i/dash%2 == 1 {
				continue
			}
			a, b := q.Stops[i], q.Stops[i+1]
			if math.IsNaN(a) || math.IsNaN(b) || math.IsInf(a, 0) || math.IsInf(b, 0) || max(a, b) < p.lo {
				continue
			}
			line(p.x(t[i].Minute), p.y(a), p.x(t[i+1].Minute), p.y(b), c, q.Direct[i] && q.Direct[i+1])
		}
	}
	text(p.x1+8, y, "Under a name: in other", grey)
	text(p.x1+8, y+15, "weather; its daylight.", grey)
	y = p.y1 + 42
	for _, s := range p.d.Assumed {
		text(12, y, s, grey)
		y += 16
	}
}

// height is that of the picture: what is assumed stands under the plot, names beside it.
func (p plot) height() int {
	names := p.y0 + 50
	for _, group := range p.alike() {
		names += 15*float64(len(group)+2) + 6
	}
	return int(max(p.y1+40+16*float64(len(p.d.Assumed)), names))
}

// alike puts points together whose curves are one on the plot: within 0.05 st at all hours, in the
// sun at the same, and as far from other weather.
func (p plot) alike() (groups [][]*answer.SunPoint) {
next:
	for n := range p.d.Points {
		q := &p.d.Points[n]
		for g, group := range groups {
			o := group[0]
			same := slices.Equal(o.Direct, q.Direct) && weatherText(o) == weatherText(q) &&
				kelvinText(o.Kelvin) == kelvinText(q.Kelvin)
			for i := range q.Stops {
				same = same && (math.Abs(q.Stops[i]-o.Stops[i]) <= 0.05 ||
					math.IsNaN(q.Stops[i]) && math.IsNaN(o.Stops[i]))
			}
			if same {
				groups[g] = append(group, q)
				continue next
			}
		}
		groups = append(groups, []*answer.SunPoint{q})
	}
	return groups
}

func sunSVG(d *answer.SunDay) []byte {
	var b bytes.Buffer
	p := plotOf(d)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 %d" font-family="sans-serif" `+
		`font-size="12"><rect width="900" height="%d" fill="#fff"/>`+"\n", p.height(), p.height())
	p.parts(func(x0, y0, x1, y1 float64, c color.RGBA, wide bool) {
		w := 1.5
		if wide {
			w = 4
		}
		fmt.Fprintf(&b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="#%02x%02x%02x" stroke-width="%g"/>`+"\n", x0, y0, x1,
			y1, c.R, c.G, c.B, w)
	}, func(x, y float64, s string, c color.RGBA) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" fill="#%02x%02x%02x">%s</text>`+"\n", x, y, c.R, c.G, c.B,
			html.EscapeString(s))
	})
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func sunPNG(d *answer.SunDay) []byte {
	p := plotOf(d)
	m := image.NewRGBA(image.Rect(0, 0, 900, p.height()))
	draw.Draw(m, m.Bounds(), image.White, image.Point{}, draw.Src)
	p.parts(func(x0, y0, x1, y1 float64, c color.RGBA, wide bool) {
		n := int(2*math.Hypot(x1-x0, y1-y0)) + 1
		r := 0
		if wide {
			r = 1
		}
		for i := 0; i <= n; i++ {
			f := float64(i) / float64(n)
			x, y := int(math.Round(x0+(x1-x0)*f)), int(math.Round(y0+(y1-y0)*f))
			for dx := -r; dx <= r; dx++ {
				for dy := -r; dy <= r; dy++ {
					m.SetRGBA(x+dx, y+dy, c)
				}
			}
		}
	}, func(x, y float64, s string, c color.RGBA) {
		picture.Words(m, int(x), int(y), s, 13, c)
	})
	var b bytes.Buffer
	_ = png.Encode(&b, m)
	return b.Bytes()
}
