package server

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"halfstop/meter"
	"halfstop/render"
	"halfstop/stage"
	"halfstop/trace"
)

// The live picture: the page's own graphics processor traces what a hand drags. The program sends
// it the scene once, and with every change only what a hand can move. See docs/decisions/0009.

// mostGPUBytes bounds a scene that is sent: what WebGPU promises a page of one buffer is 128 MiB.
const mostGPUBytes = 100 << 20

// GPUHead is the JSON at the head of GET /api/setup/{i}/gpu, after its length in four bytes, little
// endian. The sections follow it, 32-bit numbers, little endian.
type GPUHead struct {
	Revision int        `json:"revision"`
	Stale    bool       `json:"stale" doc:"what was asked to be changed is no longer what stands: ask for the whole"`
	Whole    bool       `json:"whole" doc:"all of the scene, or only what a hand can move"`
	Still    string     `json:"still" doc:"key of what does not move"`
	View     string     `json:"view" doc:"key of the camera"`
	Panels   string     `json:"panels" doc:"key of all surfaces but lights"`
	Lights   []string   `json:"lights" doc:"by layer: key of where its light comes from"`
	Lens     GPULens    `json:"lens"`
	Layers   []GPULayer `json:"layers"`
	Roots    [3]int     `json:"roots" doc:"nodes: of what stands, of what a hand can move, of what is clear; -1: none"`
	Bodies   []GPUBody  `json:"bodies" doc:"people, who are carried as a whole: they are in no other tree"`
	Node     int        `json:"node" doc:"first node of what a hand can move"`
	Triangle int        `json:"triangle" doc:"and its first triangle"`
	Eps      float64    `json:"eps" doc:"how far a ray starts off a surface, metres"`
	Guides   int        `json:"guides" doc:"relays"`
	Haze     []float64  `json:"haze,omitempty" doc:"extinction per metre, albedo, mean cosine; of haze that fills a room its bounds, metres: lowest x, y, z, highest"`
	Cell     float64    `json:"cell" doc:"side of a cell of the irradiance cache, metres"`
	Cells    int        `json:"cells"`
	GridLo   [3]int     `json:"grid_lo" doc:"first cell of the lattice"`
	Grid     [3]int     `json:"grid" doc:"cells along x, y, z"`
	ClearLo  [3]float64 `json:"clear_lo" doc:"bounds of what is clear, metres"`
	ClearHi  [3]float64 `json:"clear_hi"`
	Sections []GPUPart  `json:"sections"`
}

// GPUBody is a person: a change says only where they stand.
type GPUBody struct {
	At    [3]float64 `json:"at" doc:"metres"`
	Yaw   float64    `json:"yaw" doc:"turn about the vertical, radians"`
	Roots [2]int     `json:"roots" doc:"of a whole scene: nodes of what is solid, of what is clear; -1: none"`
}

// GPULens is the camera of a live picture: metres; directions are unit vectors.
type GPULens struct {
	At     [3]float64 `json:"at"`
	Right  [3]float64 `json:"right"`
	Up     [3]float64 `json:"up"`
	Axis   [3]float64 `json:"axis"`
	Width  float64    `json:"width" doc:"of the sensor"`
	Height float64    `json:"height"`
	Image  float64    `json:"image" doc:"from lens to sensor"`
	Focus  float64    `json:"focus"`
	Radius float64    `json:"radius" doc:"of the opening"`
	Blades int        `json:"blades" doc:"0: round"`
	Shift  [2]float64 `json:"shift"`
}

// GPULayer is one layer of a live picture.
type GPULayer struct {
	First    int     `json:"first" doc:"emitter"`
	Emitters int     `json:"emitters"`
	Work     float64 `json:"work" doc:"how much of the work it is worth, any unit"`
	Foreign  bool    `json:"foreign" doc:"it has a light that the page cannot trace: it stays the program's"`
}

// GPUPart is one section.
type GPUPart struct {
	Name string `json:"name"`
	At   int    `json:"at" doc:"bytes after the head"`
	Size int    `json:"size" doc:"bytes"`
}

// getGPU answers with the scene, or with what a hand can move of it.
func (s *Server) getGPU(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	width, err := number(r, "w", mostSide)
	if err != nil {
		return err
	}
	node, err := number(r, "node", 1<<28)
	if err != nil {
		return err
	}
	tri, err := number(r, "triangle", 1<<28)
	if err != nil {
		return err
	}
	st, v := s.engine.current(m, h)
	if st == nil {
		return &refusal{http.StatusUnprocessableEntity,
			Problem{Error: "the setup cannot be built as it is written", Messages: v.Messages}}
	}
	if st.View == nil {
		return refuse(http.StatusUnprocessableEntity, "the setup %s has no camera, so there is no picture",
			st.Setup.Name)
	}
	hd := GPUHead{Revision: m.rev, Still: fmt.Sprint(st.Keys.Still), View: fmt.Sprint(st.Keys.View),
		Panels: fmt.Sprint(st.Keys.Place),
		Lights: []string{}, Sections: []GPUPart{}, Layers: []GPULayer{}, Roots: [3]int{-1, -1, -1}, Bodies: []GPUBody{}}
	for _, l := range st.Layers {
		key := "house"
		if l.Light >= 0 {
			key = fmt.Sprint(st.Keys.Lights[l.Light])
		}
		hd.Lights = append(hd.Lights, key)
	}
	if still := r.FormValue("still"); still != "" {
		g := st.Scene.GPUMoving(st.Moving(), node, tri)
		if hd.Stale = still != hd.Still || g.ClearMoves; hd.Stale {
			return sendGPU(w, hd, nil)
		}
		hd.Roots[1], hd.Node, hd.Triangle = g.Roots[1], node, tri
		return sendGPU(w, withScene(hd, st, g), sectionsOf(st, g))
	}
	pw, ph := sizeOf(st, width, 0, s.engine.memory)
	// The sitter as it is drawn for a picture of that size: the silhouettes of the engine's layers.
	full, _ := s.engine.pictureStage(m, h.index, pw, ph)
	if full == nil {
		return refuse(http.StatusUnprocessableEntity, "the setup cannot be built for a picture")
	}
	var bodies [][2]int
	for i := range full.People {
		bodies = append(bodies, full.People[i].Triangles())
	}
	g := full.Scene.GPU(full.Moving(), bodies...)
	hd.Whole, hd.Roots = true, g.Roots
	hd.Node, hd.Triangle = g.FirstMovingNode, g.FirstMoving
	hd = withScene(hd, full, g)
	cam := meter.CameraOf(full)
	lens := lensOf(full, &cam)
	hd.Cell = render.CacheCellSize(full, 0)
	cells, err := full.Scene.GPUCells(r.Context(), &lens, hd.Cell)
	if err != nil {
		return refuse(http.StatusUnprocessableEntity, "no live picture: %v", err)
	}
	hd.Cells, hd.GridLo, hd.Grid = len(cells.Places)/64, cells.Lo, cells.N
	parts := append(sectionsOf(full, g), section{"mats", g.Mats}, section{"sheens", g.Sheens},
		section{"at", cells.At}, section{"places", cells.Places})
	return sendGPU(w, hd, parts)
}

// withScene fills in what both forms of an answer say.
func withScene(hd GPUHead, s *stage.Stage, g *trace.GPUScene) GPUHead {
	cam := meter.CameraOf(s)
	l := lensOf(s, &cam)
	hd.Lens = GPULens{At: l.At.Array(), Right: l.Right.Array(), Up: l.Up.Array(), Axis: l.Axis.Array(),
		Width:  l.Width,
		Height: l.Height, Image: l.Image, Focus: l.Focus, Radius: l.Radius, Blades: l.Blades,
		Shift: [2]float64{l.ShiftX, l.ShiftY}}
	hd.Eps, hd.Guides = float64(g.Eps), g.Relays()
	for k := range 3 {
		hd.ClearLo[k], hd.ClearHi[k] = float64(g.ClearLo[k]), float64(g.ClearHi[k])
	}
	if m := s.Scene.Medium; m != nil {
		hd.Haze = []float64{m.Extinction, m.Albedo, m.G}
		if m.Indoors {
			lo, hi := s.Scene.Bounds().Lo, s.Scene.Bounds().Hi
			hd.Haze = append(hd.Haze, lo.X, lo.Y, lo.Z, hi.X, hi.Y, hi.Z)
		}
	}
	for i := range s.People {
		p := &s.People[i]
		b := GPUBody{p.At.Array(), p.Yaw, [2]int{-1, -1}}
		if i < len(g.Bodies) {
			b.Roots = g.Bodies[i]
		}
		hd.Bodies = append(hd.Bodies, b)
	}
	for i := range s.Layers {
		work := 1.0
		if i < len(s.Scene.Importance) {
			work = s.Scene.Importance[i]
		}
		hd.Layers = append(hd.Layers, GPULayer{g.Layers[i][0], g.Layers[i][1], work, g.Foreign[i]})
	}
	return hd
}

// section is a list of 32-bit numbers on its way to a page.
type section struct {
	name string
	data any
}

func sectionsOf(s *stage.Stage, g *trace.GPUScene) []section {
	var folds []float32
	for _, l := range s.Layers {
		for k := range 3 {
			folds = append(folds, l.Fold.W[k][:]...)
		}
	}
	return []section{{"nodes", g.Nodes}, {"tris", g.Tris}, {"shades", g.Shades}, {"emitters", g.Emitters},
		{"tables", g.Tables}, {"folds", folds}, {"guides", g.Guides}, {"guideShares", g.Shares},
		{"mirrors", g.Mirrors}}
}

// sendGPU writes head and sections.
func sendGPU(w http.ResponseWriter, hd GPUHead, parts []section) error {
	var body bytes.Buffer
	for _, p := range parts {
		at := body.Len()
		if err := binary.Write(&body, binary.LittleEndian, p.data); err != nil {
			return err
		}
		if body.Len() > mostGPUBytes {
			return refuse(http.StatusUnprocessableEntity, "the scene takes over %d MiB; no live picture",
				mostGPUBytes>>20)
		}
		hd.Sections = append(hd.Sections, GPUPart{p.name, at, body.Len() - at})
	}
	head, err := json.Marshal(hd)
	if err != nil {
		return err
	}
	for (4+len(head))%16 != 0 {
		head = append(head, ' ')
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(sendTime))
	for _, b := range [][]byte{binary.LittleEndian.AppendUint32(nil, uint32(len(head))), head, body.Bytes()} {
		if _, err := w.Write(b); err != nil {
			return err
		}
	}
	return nil
}
