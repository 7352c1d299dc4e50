package scout

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/mesh"
)

// flat is a scan of 5.02 × 3.99 × 2.68 m with a bench along its far wall and somebody standing
// in it, as text (OBJ), times by, its floor at 0 and y up.
func flat(by float64) []byte {
	var b strings.Builder
	n := 0
	quad := func(c ...[3]float64) {
		for _, p := range c {
			fmt.Fprintf(&b, "v %.4f %.4f %.4f\n", p[0]*by, p[2]*by, -p[1]*by) // y up
		}
		fmt.Fprintf(&b, "f %d %d %d %d\n", n+1, n+2, n+3, n+4)
		n += 4
	}
	box := func(x0, y0, z0, x1, y1, z1 float64) {
		quad([3]float64{x0, y0, z0}, [3]float64{x1, y0, z0}, [3]float64{x1, y1, z0}, [3]float64{x0, y1, z0})
		quad([3]float64{x0, y0, z1}, [3]float64{x1, y0, z1}, [3]float64{x1, y1, z1}, [3]float64{x0, y1, z1})
		quad([3]float64{x0, y0, z0}, [3]float64{x1, y0, z0}, [3]float64{x1, y0, z1}, [3]float64{x0, y0, z1})
		quad([3]float64{x0, y1, z0}, [3]float64{x1, y1, z0}, [3]float64{x1, y1, z1}, [3]float64{x0, y1, z1})
		quad([3]float64{x0, y0, z0}, [3]float64{x0, y1, z0}, [3]float64{x0, y1, z1}, [3]float64{x0, y0, z1})
		quad([3]float64{x1, y0, z0}, [3]float64{x1, y1, z0}, [3]float64{x1, y1, z1}, [3]float64{x1, y0, z1})
	}
	box(0, 0, 0, 5.02, 3.99, 2.68)
	box(1, 3.2, 0.02, 4, 3.7, 0.45)
	box(2.2, 1, 0.02, 2.7, 1.3, 1.75)
	return []byte(b.String())
}

// TestScan: a scan is chosen, found, and asked back where it is a guess; somebody who stood in
// it is drawn out of it; what stands in it is put into the room by tape; a file that is none is
// refused; then another one is dropped and written as the room, and all of it is undone.
func TestScan(t *testing.T) {
	p, file := open(t, 1440, 900)
	dir := t.TempDir()
	put := func(name string, b []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	p.Act("scpart", `[data-arg=scan]`)
	p.Until("the empty screen", `document.querySelector("[data-key=scscanempty]")`, long)
	p.Shot("scan-empty-1440x900")
	p.Pick(`[data-key=scscanfile] + span`, put("flat.obj", flat(100)))
	text := func(key string) string {
		return fmt.Sprintf(`document.querySelector("[data-key=%s]").textContent`, key)
	}
	p.Until("the room", `/5\.02 m × 3\.99 m/.test(`+text("scanfound")+`)`, long)
	for key, want := range map[string]string{"scanfound": "2.68 m high", "scanoff": "within 2 cm",
		"unitsaid": "a guess: is it so?", "scansurf": "no colours"} {
		if said := p.Str(text(key)); !strings.Contains(strings.Join(strings.Fields(said), " "), want) {
			t.Errorf("%s: %q, want %q", key, said, want)
		}
	}
	if p.Str(`document.querySelector("[data-act=scanwrite]").disabled`) != "true" {
		t.Error("a scan in a unit that is a guess can be written")
	}
	p.Choose("[data-key=scanunit]", "cm")
	p.Until("the unit as said", text("unitsaid")+`==="as you say"`, long)
	if p.Str(text("upsaid")) == "a guess: is it so?" {
		p.Choose("[data-key=scanup]", "y+")
		p.Until("up as said", text("upsaid")+`==="as you say"`, long)
	}

	// Drawn over who stood there: a box of the plan, from floor to ceiling.
	seen := p.Str(`document.querySelector("#scanplan .thg").getAttribute("d").length`)
	var at [5]float64
	if _, err := fmt.Sscan(p.Str(`(()=>{const e=document.querySelector("#scanplan"),c=e.getScreenCTM(),d=e.dataset;`+
		`return [d.x*c.a+c.e,d.y*c.d+c.f,d.s*c.a].join(" ")})()`), &at[0], &at[1], &at[2]); err != nil {
		t.Fatal(err)
	}
	p.Drag(at[0]+2*at[2], at[1]-0.8*at[2], 0.9*at[2], -0.7*at[2])
	p.Until("the box", `document.querySelector("[data-key=cut0]")&&document.querySelector("#scanplan .thg")`+
		`.getAttribute("d").length<`+seen, long)
	p.Axe("scan", modules)
	p.Shot("scan-1440x900")

	p.Act("scankeep", "")
	saved(p, file, "mesh: scan.ply", true)
	saved(p, file, "size: [5, 4, 2.7]", true)
	ply, err := os.ReadFile(filepath.Join(filepath.Dir(file), "scan.ply"))
	if err != nil {
		t.Fatal(err)
	}
	m, err := mesh.Parse("scan.ply", ply)
	if err != nil {
		t.Fatal(err)
	}
	if s := m.Size(); s[2] > 0.5 || s[0] < 2.9 || s[0] > 3.1 {
		t.Errorf("what is written is %.2f m large: the bench alone is 3 × 0.5 × 0.43", s)
	}
	p.Until("the scan among the things", `document.querySelector("[data-key=undo]").disabled===false`, long)

	p.Drop("#scanplan", put("words.stl", []byte("solid of nothing\nendsolid\n")))
	p.Until("the refusal", `/words\.stl/.test(`+text("scscanbad")+`)`, long)
	p.Drop("#scanplan", put("again.obj", flat(1)))
	p.Until("the dropped scan", `/again\.obj/.test(`+text("scanfound")+`)`, long)
	p.Act("scanwrite", "")
	saved(p, file, "outline: [[0.00, 0.00], [5.02, 0.00], [5.02, 3.99], [0.00, 3.99]]", true)
	saved(p, file, "scan-2.ply", true)
	if b, _ := os.ReadFile(filepath.Join(filepath.Dir(file), "scan.ply")); string(b) != string(ply) {
		t.Error("the first scan's mesh was written over")
	}
	p.Tap("[data-key=undo]")
	saved(p, file, "size: [5, 4, 2.7]", true)
	p.Tap("[data-key=undo]")
	saved(p, file, "scan.ply", false)
	p.Clean("words.stl", "422")
}

// TestScanFiles brings a scan as phones and programs write it: an OBJ without its file of materials
// (said, and what to do), that file alone, both at once (colours are there), and points as a PLY in
// millimetres with another axis up.
func TestScanFiles(t *testing.T) {
	t.Parallel()
	p, _ := open(t, 820, 1180)
	dir := t.TempDir()
	put := func(name string, b []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	obj := put("room.obj", append([]byte("mtllib room.mtl\nusemtl paint\n"), flat(1)...))
	mtl := put("room.mtl", []byte("newmtl paint\nKd 0.5 0.25 0.25\n"))
	side := func(words string) string {
		return fmt.Sprintf(`document.querySelector("#scout").textContent.replace(/\s+/g," ").includes(%q)`, words)
	}
	p.Act("scpart", `[data-arg=scan]`)
	p.Drop("[data-key=scscanempty]", obj)
	p.Until("what is missing, and what to do", side("room.mtl did not come with room.obj")+"&&"+
		side("drop or choose all its files together")+"&&"+side("The scan has no colours"), long)
	p.Axe("left out", modules)
	p.Shot("scan-left-820x1180")
	p.Drop("#scanplan", mtl)
	p.Until("that it is of no use alone", side("bring it together with the OBJ"), long)
	p.Pick(`[data-key=scscanfile] + span`, obj, mtl)
	p.Until("its colours", `document.querySelector("[data-key=sswalls]")&&!`+side("did not come with"), long)
	p.Shot("scan-colours-820x1180")

	// The same room as a PLY, x up, in millimetres.
	m, err := mesh.Parse("flat.obj", flat(1))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "ply\nformat ascii 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\n"+
		"element face %d\nproperty list uchar int vertex_indices\nend_header\n", len(m.Pos), len(m.Tris))
	for _, v := range m.Pos {
		fmt.Fprintf(&b, "%.2f %.2f %.2f\n", 1000*v[1], 1000*v[2], 1000*v[0]) // y was up
	}
	for _, f := range m.Tris {
		fmt.Fprintf(&b, "3 %d %d %d\n", f[0], f[1], f[2])
	}
	p.Drop("#scanplan", put("room.ply", []byte(b.String())))
	p.Until("the room of the PLY", side("room.ply")+"&&"+side("5.02 m × 3.99 m")+"&&"+side("2.68 m high"), long)
	for key, want := range map[string]string{"scanunit": "mm", "scanup": "x+"} {
		if got := p.Str(fmt.Sprintf(`document.querySelector("[data-key=%s]").value`, key)); got != want {
			t.Errorf("%s: %s, not %s", key, got, want)
		}
	}
	p.Clean()
}
