package trace

import "slices"

// PrepareFrom is Prepare for a scene much like old, which is prepared, in a fraction of the time
// where the two differ by where things stand only: while a hand drags one. The trees are refitted,
// which changes no answer; the relays are old's, which changes the noise of a measurement and not
// its mean. Canonical returns the scene without either.
func (sc *Scene) PrepareFrom(old *Scene) error {
	sc.buildTrees(old)
	sc.prepareLights()
	if sc.reused = sc.reuseRelays(old); !sc.reused {
		sc.findRelays()
	}
	return nil
}

// Reserve makes room for a scene as large as old, so that filling it asks for memory once.
func (sc *Scene) Reserve(old *Scene) {
	sc.verts, sc.normals = slices.Grow(sc.verts, len(old.verts)), slices.Grow(sc.normals, len(old.normals))
	sc.tones, sc.strands = slices.Grow(sc.tones, len(old.tones)), slices.Grow(sc.strands, len(old.strands))
	sc.tris, sc.triMat = slices.Grow(sc.tris, len(old.tris)), slices.Grow(sc.triMat, len(old.triMat))
	sc.rects, sc.mats = slices.Grow(sc.rects, len(old.rects)), slices.Grow(sc.mats, len(old.mats))
}

// Canonical returns the scene as Prepare would have made it.
func (sc *Scene) Canonical() *Scene {
	if !sc.reused {
		return sc
	}
	own := *sc
	own.reused = false
	own.buildTrees(nil)
	own.findRelays()
	return &own
}

// reuseRelays takes over old's cells, with new light of the layers whose emitters are not the same,
// and cells of its own for the rectangles that old has not. It reports whether the two were alike
// enough.
func (sc *Scene) reuseRelays(old *Scene) bool {
	if old.Layers != sc.Layers || len(old.lit) == 0 {
		return false
	}
	var moved []int
	for l := range sc.Layers {
		if !slices.EqualFunc(sc.byLayer[l], old.byLayer[l], (*Emitter).sameAs) {
			moved = append(moved, l)
		}
	}
	there := map[outline]*Material{}
	for i := range sc.rects {
		there[sc.rects[i].of] = sc.rects[i].mat
	}
	known := map[outline]bool{}
	var kept []patch
	for i := range old.lit {
		p := old.lit[i]
		m := there[p.of]
		if m == nil {
			continue
		}
		known[p.of] = true
		p.mat = m
		p.front, p.back, p.quarter = slices.Clone(p.front), slices.Clone(p.back), slices.Clone(p.quarter)
		kept = append(kept, p)
	}
	var fresh []patch
	for i := range sc.rects {
		if r := &sc.rects[i]; !known[r.of] {
			fresh = append(fresh, *r)
		}
	}
	sc.lightCells(kept, moved, 1) // while a hand moves half as many do: noise differs, no mean
	fresh = sc.cells(fresh)
	sc.lightCells(fresh, sc.all, 1)
	sc.lit = append(kept, fresh...)
	sc.selectRelays()
	return true
}
