package scan

import (
	"fmt"
	"math"
	"strings"

	"halfstop/spectrum"
)

// Known is a surface of known reflectance, by which the scan's own exposure is told.
type Known struct {
	Part        string  // 'floor', 'walls' or 'ceiling'
	Reflectance float64 // luminous, over 0, at most 0.95
}

// Assumed is what is taken for known where nobody says better: a white ceiling. Common practice, no
// source.
var Assumed = Known{"ceiling", 0.8}

// Check says what is wrong with it.
func (k Known) Check() error {
	if k.Part != "floor" && k.Part != "walls" && k.Part != "ceiling" {
		return fmt.Errorf("%q is no surface of a room: floor, walls or ceiling", k.Part)
	}
	if !(k.Reflectance > 0 && k.Reflectance <= 0.95) {
		return fmt.Errorf("a reflectance of %g %%: it is over 0, at most 95", 100*k.Reflectance)
	}
	return nil
}

// Found is what was found, as `scan --json` and the page tell it. Metres; colours as '#rrggbb'
// of the reflectance.
type Found struct {
	Version   int               `json:"version"`
	Unit      string            `json:"unit"`
	UnitSure  bool              `json:"unit_sure"`
	Up        string            `json:"up"`
	UpSure    bool              `json:"up_sure"`
	Turned    float64           `json:"turned_degrees"`
	Outline   [][2]float64      `json:"outline"`
	Shape     string            `json:"shape" doc:"of the outline: a rectangle, an L, or how many corners it has"`
	Ceiling   float64           `json:"ceiling"`
	FloorSeen float64           `json:"floor_seen" doc:"share of the floor that the scan covers, 0 to 1"`
	Triangles int               `json:"triangles"`
	Kept      int               `json:"things_triangles" doc:"of what stands in the room, as it is kept"`
	Moved     float64           `json:"corner_moved_most"`
	Surfaces  map[string]string `json:"surfaces,omitempty"`
	Left      []string          `json:"left,omitempty" doc:"what of the file was left out"`
}

// Found tells what was found, its surfaces by the one that is known.
func (r *Room) Found(k Known) Found {
	f := Found{1, r.Unit, r.UnitSure, r.Up, r.UpSure, r.Turned, r.Outline, r.Shape(), r.Ceiling, r.FloorSeen,
		r.Triangles, 0, r.Error, r.Surfaces(k), r.Left}
	if r.Things != nil {
		f.Kept = len(r.Things.Tris)
	}
	return f
}

// Shape says what the outline is: 'a rectangle', 'an L', or 'a room of 8 corners'.
func (r *Room) Shape() string {
	square := true
	for i, p := range r.Outline {
		q := r.Outline[(i+1)%len(r.Outline)]
		square = square && (math.Abs(p[0]-q[0]) < 1e-6 || math.Abs(p[1]-q[1]) < 1e-6)
	}
	switch n := len(r.Outline); {
	case square && n == 4:
		return "a rectangle"
	case square && n == 6:
		return "an L"
	default:
		return fmt.Sprintf("a room of %d corners", n)
	}
}

// Surfaces turns the scan's mean colours into reflectances by the one that is known; nil where the
// scan has no colour of it.
func (r *Room) Surfaces(k Known) map[string]string {
	ref, ok := r.Colours[k.Part]
	y := func(c [3]float64) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }
	if !ok || y(ref) < 1e-4 {
		return nil
	}
	out := map[string]string{}
	for name, c := range r.Colours {
		hex := "#"
		for i := range 3 {
			v := min(0.95, c[i]*k.Reflectance/y(ref))
			hex += fmt.Sprintf("%02x", int(math.Round(255*spectrum.Encode(v))))
		}
		out[name] = hex
	}
	return out
}

// Comment stands in the file of what stands in the room.
const Comment = "what stands in the room; metres, z up; from a scan"

// Line is a setting of a shoot file that says what was found; Append: an entry more of a list.
type Line struct {
	Path, Value string
	Append      bool
}

// Lines are the settings that write the room, and what stands in it, which lies in file.
func (r *Room) Lines(k Known, file string) []Line {
	var corners []string
	for _, p := range r.Outline {
		corners = append(corners, fmt.Sprintf("[%.2f, %.2f]", math.Round(100*p[0])/100+0,
			math.Round(100*p[1])/100+0)) // + 0: never "-0.00"
	}
	out := []Line{{Path: "room.outline", Value: "[" + strings.Join(corners, ", ") + "]"},
		{Path: "room.ceiling", Value: fmt.Sprintf("%.2f m", r.Ceiling)}}
	surfaces := r.Surfaces(k)
	for _, part := range []string{"walls", "floor", "ceiling"} {
		if s := surfaces[part]; s != "" {
			out = append(out, Line{Path: "room.surfaces." + part, Value: fmt.Sprintf("%q", s)})
		}
	}
	if r.Things != nil {
		out = append(out, r.Thing(k, file, [2]float64{}))
	}
	return out
}

// Thing is the setting that puts what stands in the room, which lies in file, into a room whose
// lowest corner is at, metres.
func (r *Room) Thing(k Known, file string, at [2]float64) Line {
	surface := "mid grey"
	if s := r.Surfaces(k)["things"]; s != "" {
		surface = fmt.Sprintf("%q", s)
	}
	place := ""
	if at != ([2]float64{}) {
		place = fmt.Sprintf(", at: [%.3f, %.3f, 0]", at[0], at[1])
	}
	return Line{Path: "room.objects", Append: true,
		Value: fmt.Sprintf("{name: scan, mesh: %s%s, surface: %s}", file, place, surface)}
}

// Fit compares an outline that was taken by tape with what was found, in the four quarter turns
// anticlockwise that walls can have: off is by how much a wall's corner of either is away from the
// other's outline at most, metres, where their lowest corners lie on each other.
func (r *Room) Fit(tape [][2]float64) (off [4]float64) {
	at := lowest(tape)
	var there [][2]float64
	for _, p := range tape {
		there = append(there, [2]float64{p[0] - at[0], p[1] - at[1]})
	}
	for q := range off {
		mine := quarters(r.Outline, q)
		for _, p := range mine {
			off[q] = max(off[q], math.Abs(edge(there, p[0], p[1])))
		}
		for _, p := range there {
			off[q] = max(off[q], math.Abs(edge(mine, p[0], p[1])))
		}
	}
	return off
}

// lowest is the lowest x and the lowest y of an outline, metres.
func lowest(outline [][2]float64) [2]float64 {
	lo := [2]float64{math.Inf(1), math.Inf(1)}
	for _, p := range outline {
		lo = [2]float64{min(lo[0], p[0]), min(lo[1], p[1])}
	}
	return lo
}

// quarters turns an outline by so many right angles anticlockwise, and puts its lowest corner at
// 0, 0.
func quarters(outline [][2]float64, n int) [][2]float64 {
	out := append([][2]float64(nil), outline...)
	for range n {
		for i, p := range out {
			out[i] = [2]float64{-p[1], p[0]}
		}
	}
	at := lowest(out)
	for i, p := range out {
		out[i] = [2]float64{p[0] - at[0], p[1] - at[1]}
	}
	return out
}

// Seen is what stands in the room as seen from above: rows of 5 cm, each x and y of its low end and
// its length, metres.
func (r *Room) Seen() [][3]float64 {
	if r.Things == nil {
		return nil
	}
	w, d := 0.0, 0.0
	for _, p := range r.Outline {
		w, d = max(w, p[0]), max(d, p[1])
	}
	nx, ny := max(1, int(math.Ceil(w/floorCell))), max(1, int(math.Ceil(d/floorCell)))
	if nx*ny > mostCells {
		return nil
	}
	grid := make([]bool, nx*ny)
	for _, ids := range r.Things.Tris {
		var t tri
		for k, i := range ids {
			for c := range 3 {
				t.p[k][c] = float64(r.Things.Pos[i][c])
			}
		}
		// A small or upright triangle covers the middle of no cell: its edges are drawn.
		for k := range 3 {
			a, b := t.p[k], t.p[(k+1)%3]
			n := 1 + int(math.Hypot(b[0]-a[0], b[1]-a[1])/(floorCell/2))
			for j := range n {
				f := (float64(j) + 0.5) / float64(n)
				x, y := a[0]+f*(b[0]-a[0]), a[1]+f*(b[1]-a[1])
				if x >= 0 && x < w && y >= 0 && y < d {
					grid[int(y/floorCell)*nx+int(x/floorCell)] = true
				}
			}
		}
		fill(grid, nx, ny, &t)
	}
	var out [][3]float64
	for y := range ny {
		for x := 0; x < nx; x++ {
			from := x
			for x < nx && grid[y*nx+x] {
				x++
			}
			if x > from {
				out = append(out, [3]float64{float64(from) * floorCell, float64(y) * floorCell,
					float64(x-from) * floorCell})
			}
		}
	}
	return out
}
