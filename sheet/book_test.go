package sheet

import (
	"fmt"
	"image"
	"slices"
	"strings"
	"testing"
)

// TestTogether: wherever on a page a section begins, its heading, the heads of its table and the
// first row stand on one page.
func TestTogether(t *testing.T) {
	words := strings.Fields(strings.Repeat("a cell that wraps over several lines ", 12))
	for fill := range 70 {
		for n := 2; n < len(words); n += 7 {
			b := NewBook(BookOptions{})
			b.Begin("List", "")
			for range fill {
				b.Text("line")
			}
			b.Section("Cases")
			row := []string{strings.Join(words[:n], " ")}
			b.Table([]Column{{Head: "head of a column", Share: 1}}, [][]string{row, {"second"}})
			var on [3][]int
			for k, p := range b.d.pages {
				for i, w := range []string{"Cases", "head of a column", "a cell"} {
					if slices.ContainsFunc(p.items, func(it item) bool { return strings.HasPrefix(it.text, w) }) {
						on[i] = append(on[i], k)
					}
				}
			}
			if fmt.Sprint(on[0], on[1][:1], on[2][:1]) != fmt.Sprint(on[0], on[0], on[0]) {
				t.Fatalf("after %d lines, a row of %d words: heading, heads and row are on pages %v", fill, n, on)
			}
		}
	}
}

// TestHeadingAbove: a heading stands above the grid of pictures that it names, and above a plan.
func TestHeadingAbove(t *testing.T) {
	for fill := range 60 {
		b := NewBook(BookOptions{})
		b.Begin("List", "")
		for range fill {
			b.Text("line")
		}
		cell := Cell{Picture: image.NewRGBA(image.Rect(0, 0, 30, 20)), Name: "key"}
		b.Grid("Light by light", []Cell{cell, cell})
		for _, p := range b.d.pages {
			for k, it := range p.items {
				if it.img != nil && !slices.ContainsFunc(p.items[:k], func(o item) bool {
					return o.text == "Light by light" && o.at.y < it.box.y0
				}) {
					t.Fatalf("after %d lines the pictures stand without their heading", fill)
				}
			}
		}
	}
}
