package sheet

import (
	"fmt"
	"image"
	"image/draw"
	"math"
	"strings"

	xdraw "golang.org/x/image/draw"
)

// Faces of the tables.
var (
	faceHead  = face{6.3, 400, inkSub}
	faceRole  = face{7.9, 600, black}
	faceText  = face{6.75, 400, black}
	faceDial  = face{10.2, 600, black}
	faceF     = face{11.2, 600, black}
	faceFs    = face{11.2, 400, grey(0x66)}
	faceValue = face{11.25, 600, black}
	faceNote  = face{6.5, 400, black}
	faceNoteB = face{6.75, 600, black}
)

const textStep = 2.95 // mm between lines of faceText

// tables holds what is not yet written. page writes as much as there is room for.
type tables struct {
	p *Plan
	r ruler

	lights   int // rows already written
	readings int
	started  bool // the first page has the camera block
	notes    []note
	picture  bool

	originDone bool // written beside the scale bar
	dry        bool // only to see what fits: no picture is scaled
}

// note is one line of the right column.
type note struct {
	head    bool
	first   bool // starts an item: gets its dash
	text    string
	section string
}

func newTables(p *Plan, opt Options) *tables {
	t := &tables{p: p, r: ruler{opt.Feet}, picture: p.Picture != nil}
	return t
}

func (t *tables) done() bool {
	return t.started && !t.picture && t.lights >= len(t.p.Lights) && t.readings >= len(t.p.Readings) &&
		len(t.notes) == 0
}

// page fills the box with what is left.
func (t *tables) page(g *page, b rect) {
	split := b.x1 - rightMM
	if b.w() > 250 { // a sheet that lies
		split -= rightMM * 0.45
	}
	g.rule(0.25, black, xy{b.x0, b.y0}, xy{b.x1, b.y0})
	g.rule(0.25, black, xy{split, b.y0}, xy{split, b.y1})
	y := t.lightRows(g, rect{b.x0, b.y0, split, b.y1})
	free := rect{b.x0, b.y1, split, b.y1} // what the tables leave under themselves
	if t.lights >= len(t.p.Lights) {
		free.y0 = t.readingRows(g, rect{b.x0, y, split, b.y1})
	}
	t.right(g, rect{split, b.y0, b.x1, b.y1}, free)
	if t.lights < len(t.p.Lights) || t.readings < len(t.p.Readings) {
		f := faceHead
		g.putRight(xy{split - 2, b.y1 - 1.4}, f, "continued on the next page")
	}
}

// lightRows writes rows of lights and returns the lower edge of the last.
func (t *tables) lightRows(g *page, b rect) float64 {
	if t.lights >= len(t.p.Lights) {
		return b.y0
	}
	xStand, xAim, xDial := b.x0+72, b.x0+96.5, b.x0+106.5
	if t.r.feet {
		xStand, xAim, xDial = b.x0+60, b.x0+95, b.x0+108
	}
	const head = 5.0
	const keep = 4.0 // for the word at the foot
	y := b.y0
	if y+head+9+keep > b.y1 {
		return y
	}
	unit := ", m"
	if t.r.feet {
		unit = ""
	}
	for _, h := range []struct {
		x float64
		s string
	}{{b.x0 + 5, "Light"}, {xStand, "Stand x · y · height" + unit}, {xAim, "Aim" + unit}, {xDial, "Dial"},
		{b.x1 - 7.5, "Set"}} {
		if h.s == "Stand x · y · height, m" {
			h.s = "Stand x · y · height"
		}
		g.put(xy{h.x, y + 3.4}, faceHead, h.s)
	}
	y += head
	g.rule(0.18, black, xy{b.x0, y}, xy{b.x1, y})
	for t.lights < len(t.p.Lights) {
		l := t.p.Lights[t.lights]
		words := faceText.wrap(typographic(l.Words), xStand-b.x0-7)
		place, raised, aim := l.Where, "", ""
		if s := l.Stand; s != nil {
			h := s.Top
			if len(l.Bodies) > 0 {
				h = l.Bodies[0].At.Z
			}
			place = fmt.Sprintf("%s · %s · %s", t.r.length(s.At[0]), t.r.length(s.At[1]), t.r.length(h))
			if s.On != "" {
				raised = fmt.Sprintf("%s over %s", t.r.length(h-s.Floor), s.On)
			}
		}
		if l.aimed() {
			aim = t.r.length(l.Bodies[0].Aim.Sub(l.Bodies[0].At).Len())
		}
		var where []string
		for _, s := range []string{place, raised, l.Feed} {
			where = append(where, faceText.wrap(typographic(s), xAim-xStand-1)...)
		}
		role := faceRole.clip(l.Role, xStand-b.x0-24)
		fd := faceDial
		dial := []string{typographic(l.Dial)}
		if w := b.x1 - 9 - xDial; fd.width(dial[0]) > w {
			fd.size = 8
			dial = fd.wrap(dial[0], w)
		}
		lines := max(1+len(words), len(where))
		h := math.Max(float64(lines)*textStep+2.1, float64(len(dial))*fd.size*pt*1.2+3)
		h = math.Max(h, 7.9)
		if y+h+keep > b.y1 && !(t.lights == len(t.p.Lights)-1 && y+h <= b.y1 && len(t.p.Readings) == 0) {
			break
		}
		c := tinted(l.Colour, 0.50)
		g.add(item{subs: []sub{{rect{b.x0, y, b.x0 + 3, y + h}.poly(), true}}, fill: c})
		n := g.put(xy{b.x0 + 5, y + 3.5}, faceRole, role)
		g.put(xy{b.x0 + 5 + n + 1, y + 3.5}, faceText, l.Kind.String())
		for i, s := range words {
			g.put(xy{b.x0 + 5, y + 3.5 + float64(i+1)*textStep}, faceText, s)
		}
		for i, s := range where {
			g.put(xy{xStand, y + 3.4 + float64(i)*textStep}, faceText, s)
		}
		g.put(xy{xAim, y + 3.4}, faceText, aim)
		for i, s := range dial {
			g.put(xy{xDial, y + 4.9 + float64(i)*fd.size*pt*1.2}, fd, s)
		}
		if !l.Fixed {
			g.frame(0.25, black, rect{b.x1 - 7, y + 1.4, b.x1 - 2.6, y + 5.8})
		}
		y += h
		g.rule(0.14, hair, xy{b.x0, y}, xy{b.x1, y})
		t.lights++
	}
	g.rule(0.25, black, xy{b.x0, y}, xy{b.x1, y})
	return y
}

// readingRows writes the readings to expect in two columns and returns their lower edge.
func (t *tables) readingRows(g *page, b rect) float64 {
	left := len(t.p.Readings) - t.readings
	const head, keep = 5.0, 4.0
	row := 7.0
	if left <= 0 || b.y0+head+row+keep > b.y1 {
		return b.y0
	}
	cols := 2
	if left <= 3 {
		cols = 1
	}
	rows := (left + cols - 1) / cols
	if need := float64(rows) * row; b.y0+head+need > b.y1-0.5 {
		rows = int((b.y1 - b.y0 - head - keep) / row)
	} else {
		row = math.Min(8.2, (b.y1-b.y0-head-0.5)/float64(rows))
	}
	wide := b.w() / 2
	for c := 0; c < cols; c++ {
		x := b.x0 + wide*float64(c)
		g.put(xy{x + 6.6, b.y0 + 3.4}, faceHead, "Meter here")
		g.put(xy{x + 28.6, b.y0 + 3.4}, faceHead, "Should read")
		g.put(xy{x + 42.4, b.y0 + 3.4}, faceHead, "In the picture")
		g.put(xy{x + 57.4, b.y0 + 3.4}, faceHead, "Read")
	}
	g.rule(0.18, black, xy{b.x0, b.y0 + head}, xy{b.x1, b.y0 + head})
	for c := 0; c < cols; c++ {
		for i := 0; i < rows && t.readings < len(t.p.Readings); i++ {
			r := t.p.Readings[t.readings]
			x, y := b.x0+wide*float64(c), b.y0+head+row*float64(i)
			base := y + row/2 + 1.1
			t.readings++
			fn := faceRole
			g.putRight(xy{x + 5.2, base}, fn, fmt.Sprint(t.readings))
			name := faceText.wrap(typographic(r.Point), 20.8)
			if len(name) > 2 {
				name = []string{name[0], faceText.clip(strings.Join(name[1:], " "), 20.8)}
			}
			for j, s := range name {
				g.put(xy{x + 6.6, base - float64(len(name)-1)*textStep/2 + float64(j)*textStep}, faceText, s)
			}
			whole, tenth := fParts(r.N)
			at := x + 28.6
			if r.N > 0 {
				at += g.put(xy{at, base + 0.3}, faceFs, "f/")
			}
			at += g.put(xy{at, base + 0.3}, faceF, whole)
			g.put(xy{at + 0.1, base + 0.3}, face{faceF.size, 500, black}, tenth)
			over := "–"
			if r.HasOver {
				over = signed(float64(r.Over), 1)
			}
			if r.Sigma >= 0.3 {
				over += fmt.Sprintf(" (±%.1f)", float64(r.Sigma))
			}
			if r.Wanted == "" {
				g.put(xy{x + 42.4, base}, faceText, over)
			} else {
				g.put(xy{x + 42.4, base - 1.4}, faceText, over)
				fw, want := faceNote, "want "+typographic(r.Wanted)
				for fw.size > 5.25 && fw.width(want) > 14.6 { // up to the line to write on
					fw.size -= 0.25
				}
				g.put(xy{x + 42.4, base + 1.3}, fw, fw.clip(want, 14.6))
			}
			g.rule(0.18, black, xy{x + 57.4, y + row - 1.2}, xy{x + wide - 2, y + row - 1.2})
			if y+row < b.y1-1 {
				g.rule(0.14, hair, xy{x, y + row}, xy{x + 56, y + row})
			}
		}
	}
	return b.y0 + head + float64(rows)*row
}

// right writes the camera block on the first page, then the picture, remarks, cautions, origin and
// meter constants.
//
// What has no room there goes into free where all of it fits, else to the next page.
func (t *tables) right(g *page, b, free rect) {
	y := b.y0
	if !t.started {
		t.started = true
		y = t.camera(g, b)
		t.collect(b.w())
	} else if len(t.notes) > 0 && !t.notes[0].head {
		n := t.notes[0].section
		t.notes = append([]note{{head: true, text: n + ", continued", section: n}}, t.notes...)
	}
	// The picture moves to the next page where it would push the cautions there.
	if t.picture && b.y1-y > 26+math.Min(t.notesHeight(), 40) {
		t.picture = false
		y = t.drawPicture(g, rect{b.x0, y, b.x1, b.y1})
	}
	step := noteStep
	y += 1.6
	for len(t.notes) > 0 {
		n := t.notes[0]
		need := step
		if n.head {
			need += step*float64(t.itemLines(1)) + 0.8 // a heading never stands alone
		}
		if n.first {
			need = step * float64(t.itemLines(0)) // nor is an item torn, unless it fills a page by itself
		}
		need = math.Min(need, b.h()*0.7)
		if y+need > b.y1-3.4 && y+t.rest() > b.y1-0.8 {
			f := faceHead
			if t.readings >= len(t.p.Readings) && free.h() > t.rest()+noteStep+5 {
				g.putRight(xy{b.x1 - 2, b.y1 - 1.2}, f, strings.ToLower(n.section)+" continued at the left")
				if !n.head {
					t.notes = append([]note{{head: true, text: n.section + ", continued", section: n.section}},
						t.notes...)
				}
				b, free, y = free, rect{}, free.y0+2
				continue
			}
			g.putRight(xy{b.x1 - 2, b.y1 - 1.2}, f, strings.ToLower(n.section)+" continued on the next page")
			return
		}
		if n.head {
			if y > b.y0+3 {
				y += 0.8
			}
			y += step
			g.put(xy{b.x0 + 2.4, y - 0.6}, faceNoteB, n.text)
		} else {
			y += step
			if n.first {
				g.put(xy{b.x0 + 2.4, y - 0.6}, faceNote, "–")
			}
			g.put(xy{b.x0 + 5, y - 0.6}, faceNote, n.text)
		}
		t.notes = t.notes[1:]
	}
}

// collect breaks the notes into lines.
func (t *tables) collect(width float64) {
	add := func(head string, items []string) {
		if len(items) == 0 {
			return
		}
		t.notes = append(t.notes, note{head: true, text: head, section: head})
		for _, s := range items {
			for i, l := range faceNote.wrap(typographic(s), width-7.4) {
				t.notes = append(t.notes, note{first: i == 0, text: l, section: head})
			}
		}
	}
	if !t.picture {
		add("Predicted", t.p.Remarks)
	}
	add("Cautions", t.p.Cautions)
	if !t.originDone {
		add("Origin", t.p.Origin)
	}
	add("Meter", t.p.Meter)
}

// notesHeight is what the collected notes will take.
func (t *tables) notesHeight() float64 {
	h := 1.6 + 1.5
	for _, n := range t.notes {
		h += noteStep
		if n.head {
			h += 0.8
		}
	}
	return h
}

// itemLines counts the lines of the item that starts at i.
func (t *tables) itemLines(i int) int {
	n := 1
	for i+n < len(t.notes) && !t.notes[i+n].first && !t.notes[i+n].head {
		n++
	}
	return n
}

// rest is the height of all lines still to write.
func (t *tables) rest() float64 { return t.notesHeight() - 1.6 - 1.5 }

const noteStep = 6.5 * pt * 1.29

func (e Exposure) toSitter() string {
	if e.ByMirror {
		return "By the mirror"
	}
	return "To the sitter"
}

// camera writes the camera's settings.
func (t *tables) camera(g *page, b rect) float64 {
	e := t.p.Exposure
	type figure struct{ label, value, unit string }
	dash := func(ok bool, s string) string {
		if !ok || s == "" {
			return "–"
		}
		return s
	}
	sharp := t.r.length(float64(e.Sharp))
	unit := t.r.unit()
	if math.IsInf(float64(e.Sharp), 1) {
		sharp = "∞"
	}
	figures := []figure{
		{"ISO", dash(e.ISO > 0, fmt.Sprintf("%.0f", float64(e.ISO))), ""},
		{"Shutter", dash(true, e.Shutter), ""},
		{"Aperture", "f/" + aperture(e.Aperture), ""},
		{"White balance", dash(e.WhiteBalance > 0, fmt.Sprintf("%.0f", float64(e.WhiteBalance))), "K"},
		{"Focal", dash(e.FocalMM > 0, fmt.Sprintf("%.3g", e.FocalMM)), "mm"},
		{"Lens height", dash(e.LensHeight > 0, t.r.length(float64(e.LensHeight))), unit},
		{e.toSitter(), dash(e.Distance > 0, t.r.length(float64(e.Distance))), unit},
		{"Sharp", dash(e.Sharp > 0, sharp), unit},
		{"Sync", dash(true, e.Sync), ""},
	}
	const row = 8.4
	wide := b.w() / 3
	for i, f := range figures {
		x, y := b.x0+wide*float64(i%3), b.y0+row*float64(i/3)
		g.put(xy{x + 2.2, y + 3.0}, faceHead, f.label)
		fv := faceValue
		for fv.size > 6.5 && fv.width(f.value)+faceText.width(f.unit)+1 > wide-3 {
			fv.size -= 0.25
		}
		v := fv.clip(f.value, wide-3)
		at := x + 2.2
		if i == 2 && e.Aperture > 0 {
			at += g.put(xy{at, y + 7.2}, face{fv.size, 400, grey(0x66)}, "f/")
			v = strings.TrimPrefix(v, "f/")
		} else if i == 2 {
			v = "–"
		}
		n := g.put(xy{at, y + 7.2}, fv, v)
		if f.value != "–" && f.value != "∞" {
			g.put(xy{at + n + 0.7, y + 7.2}, faceText, f.unit)
		}
		if i%3 > 0 {
			g.rule(0.14, hair, xy{x, y}, xy{x, y + row})
		}
		if i%3 == 0 && i > 0 {
			g.rule(0.14, hair, xy{b.x0, y}, xy{b.x1, y})
		}
	}
	y := b.y0 + 3*row
	g.rule(0.25, black, xy{b.x0, y}, xy{b.x1, y})
	return y
}

// drawPicture draws the predicted picture with the remarks beside it. Remarks without room there
// join the notes.
func (t *tables) drawPicture(g *page, b rect) float64 {
	m := t.p.Picture.Bounds()
	w := 22.0
	h := w * float64(m.Dy()) / float64(m.Dx())
	// The picture shrinks to make room for the cautions, down to the smallest size that is still of
	// use.
	most := b.h() - 4 - t.notesHeight()
	most = math.Max(18, math.Min(33, most))
	if h > most {
		h = most
		w = h * float64(m.Dx()) / float64(m.Dy())
	}
	if m.Dx() > m.Dy() {
		w = 30
		h = math.Max(1, w*float64(m.Dy())/float64(m.Dx()))
	}
	w = math.Max(w, 1)
	box := rect{b.x0 + 2.2, b.y0 + 2, b.x0 + 2.2 + w, b.y0 + 2 + h}
	if !t.dry {
		g.add(item{img: shrunk(t.p.Picture, 520), box: box})
	}
	x := box.x1 + 2.2
	step := noteStep
	y := b.y0 + 2 + step
	g.put(xy{x, y - 0.6}, faceNoteB, "Predicted")
	var rest []note
	limit := math.Max(box.y1+1, math.Min(b.y0+36, b.y1-4-t.notesHeight()))
	for _, s := range t.p.Remarks {
		lines := faceNote.wrap(typographic(s), b.x1-x-2)
		if len(rest) > 0 || y+float64(len(lines))*step > limit {
			for i, l := range faceNote.wrap(typographic(s), b.w()-7.4) {
				rest = append(rest, note{first: i == 0, text: l, section: "Remarks"})
			}
			continue
		}
		for _, l := range lines {
			y += step
			g.put(xy{x, y - 0.6}, faceNote, l)
		}
	}
	if len(rest) > 0 {
		// Cautions first, the other remarks last.
		t.notes = append(append(t.notes, note{head: true, text: "Predicted, more", section: "Remarks"}), rest...)
	}
	y = math.Max(y+1, box.y1) + 2
	g.rule(0.25, black, xy{b.x0, y}, xy{b.x1, y})
	return y
}

// shrunk scales a picture to at most n pixels on its long side, on white.
func shrunk(m image.Image, n int) image.Image {
	b := m.Bounds()
	k := math.Min(1, float64(n)/float64(max(b.Dx(), b.Dy())))
	r := image.Rect(0, 0, max(1, int(math.Round(k*float64(b.Dx())))), max(1, int(math.Round(k*float64(b.Dy())))))
	out := image.NewRGBA(r)
	draw.Draw(out, r, image.White, image.Point{}, draw.Src)
	xdraw.CatmullRom.Scale(out, r, m, b, draw.Over, nil)
	return out
}
