package sheet_test

import (
	"fmt"
	"strings"

	"halfstop/geom"
	"halfstop/sheet"
)

// A room of 4 by 3 m would fit across the sheet at 1:25, but plan and section together are too high
// for it.
func ExampleDraw() {
	plan := sheet.Plan{
		Room:    sheet.Room{Outline: [][2]float64{{0, 0}, {4, 0}, {4, 3}, {0, 3}}, Ceiling: 2.5},
		Sitters: []sheet.Sitter{{At: [2]float64{2, 1.5}, Pose: sheet.PoseStanding}},
		Lights: []sheet.Light{{
			Role: "Key", Words: "softbox", Dial: "1/4 + 0.0",
			Bodies: []sheet.Body{{At: geom.V(3, 0.8, 2), Aim: geom.V(2, 1.5, 1.6), Shape: sheet.Rectangle, Width: 0.6,
				Height: 0.9, Depth: 0.4}},
			Stand: &sheet.Stand{At: [2]float64{3.1, 0.75}, Radius: 0.4},
		}},
		Title: sheet.TitleBlock{Setup: "First light"},
	}
	d, err := sheet.Draw(plan, sheet.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("1:%d, %d page, %s\n", d.Scale(), d.Pages(), d.PDF()[:8])
	plan.Room.Outline[1][0] = 4000
	_, err = sheet.Draw(plan, sheet.Options{})
	fmt.Println(strings.Split(err.Error(), ", ")[0])
	// Output:
	// 1:50, 1 page, %PDF-1.7
	// the lighting plan cannot be drawn: corner 2 of the room is 4000
}
