package sheet

import (
	"fmt"
	"image"
	"strings"
	"testing"
)

// TestSpread: an opening holds its whole lead; the cells of a grid lie on the page and not over
// each other, with one to twenty of them, standing and lying; its heading is on the page of its
// first row; a heading is never the last thing on a page.
func TestSpread(t *testing.T) {
	lead := strings.Repeat("Lit with three lights and a window, the key between loop and split. ", 4)
	for n := 1; n <= 20; n++ {
		for _, form := range []image.Rectangle{image.Rect(0, 0, 96, 64), image.Rect(0, 0, 64, 96)} {
			m := image.NewGray(form)
			b := NewBook(BookOptions{Title: "x", Foot: "foot"})
			b.Opening("Aisle", lead)
			b.LeadPicture(m, "Computed.", []Fact{{"Camera", "f/4, 1/100 s, ISO 400"}, {"Lens", "50 mm"}})
			var cells []Cell
			for i := range n {
				cells = append(cells, Cell{Picture: m, Name: fmt.Sprintf("light %d", i), Text: "why it is there",
					Set:   "1/8",
					Lines: []string{"battery head 500, octa 90", "Stands 1.20 m, 51° to the sitter's right"}})
			}
			b.Grid("Light by light", cells)
			for range n { // headings at every height of the page
				b.Section("Readings")
				b.Table([]Column{{Head: "Point", Share: 1}, {Head: "Predicted", Share: 1}}, [][]string{{"face", "f/4"}})
			}
			d := b.Drawing()
			if got := words(d.pages[0]); !strings.Contains(got, strings.TrimSpace(lead)) {
				t.Errorf("the lead is cut: %s", got)
			}
			pictures := 0
			for k, g := range d.pages {
				var boxes []rect
				var last item // the lowest text over the foot
				for _, it := range g.items {
					if it.img != nil {
						boxes = append(boxes, it.box)
						pictures++
					}
					if it.text != "" && it.at.y < b.bottom() && it.at.y >= last.at.y {
						last = it
					}
				}
				for i, a := range boxes {
					if a.x0 < b.left()-0.01 || a.x1 > b.left()+b.width()+0.01 || a.y1 > b.bottom()+0.01 {
						t.Errorf("%d cells: a picture leaves page %d: %+v", n, k+1, a)
					}
					for _, c := range boxes[:i] {
						if a.overlaps(c) {
							t.Errorf("%d cells: pictures on page %d overlap", n, k+1)
						}
					}
				}
				if last.text == "Readings" || last.text == "Light by light" {
					t.Errorf("%d cells: %q stands alone at the end of page %d", n, last.text, k+1)
				}
			}
			if pictures != n+1 {
				t.Errorf("%d pictures, want %d", pictures, n+1)
			}
		}
	}
}

func words(g *page) string {
	var s []string
	for _, it := range g.items {
		if it.text != "" {
			s = append(s, it.text)
		}
	}
	return strings.Join(s, " ")
}
