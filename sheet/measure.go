package sheet

import "strings"

// Measures are what a sheet's drawings are judged by. The lengths of aims and the figures of
// contours that have no place do not count: they stand in the table, or elsewhere on the contour.
type Measures struct {
	Overlaps      []string // pairs of labels that cover each other, or a label over what is drawn solid
	Named, Wanted int      // labels placed, of those that there are
	Unnamed       []string // what has no label, by name
	// Used is the share of the paper that the tables leave on the first page, 0 to 1, in the
	// direction in which the drawing takes more.
	Used float64
}

// Measure judges a plan's drawings; of a book it is zero.
func (d *Drawing) Measure() (m Measures) {
	named := map[string]bool{} // on any page: what is too small on the first may be named on the second
	for _, v := range d.views {
		for _, l := range v.labels {
			named[l.what] = named[l.what] || l.chosen >= 0
		}
	}
	for _, v := range d.views {
		for i, a := range v.labels {
			if a.chosen < 0 && (strings.HasPrefix(a.what, "contour") || strings.HasPrefix(a.what, "aim")) {
				continue // a figure that stands elsewhere too: on another part of it, in the table
			}
			if a.chosen < 0 && named[a.what] {
				continue
			}
			if m.Wanted++; a.chosen < 0 {
				m.Unnamed = append(m.Unnamed, a.what)
				continue
			}
			m.Named++
			box := a.cands[a.chosen].box
			for _, b := range v.labels[i+1:] {
				if b.chosen >= 0 && box.overlaps(b.cands[b.chosen].box) {
					m.Overlaps = append(m.Overlaps, a.what+" and "+b.what)
				}
			}
			for _, b := range v.ground.boxes {
				if box.overlaps(b) {
					m.Overlaps = append(m.Overlaps, a.what+" and a dimension")
				}
			}
			for _, s := range v.ground.hard {
				if touches(box, s.poly) {
					m.Overlaps = append(m.Overlaps, a.what+" and a body")
				}
			}
		}
		for i, a := range v.ground.boxes {
			for _, b := range v.ground.boxes[i+1:] {
				if a.grow(-0.55).overlaps(b.grow(-0.55)) { // they stand in ground with a margin of 0.4 to 0.5 mm
					m.Overlaps = append(m.Overlaps, "two dimensions")
				}
			}
		}
	}
	m.Used = d.used
	return m
}
