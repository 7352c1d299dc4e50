package day

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/kit"
	"halfstop/shoot"
)

func parsed(t *testing.T, text string) *shoot.File {
	t.Helper()
	f, _, list := shoot.Parse("shoot.yaml", []byte(text), shoot.Options{})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return f
}

// TestBags: overturning moment load × reach, resisting (stand + bags) × leg, twice over (common
// practice, no source; the arithmetic is that of moments).
func TestBags(t *testing.T) {
	stand := kit.Stand{Kind: "stand", Footprint: 1, Weight: 2}
	// 4 kg at 0.4 m: 2 × 1.6 = 3.2 kg·m over 0.25 m of leg is 12.8 kg; less 2 kg of stand: 10.8
	// kg, two bags of 6.8.
	if n, name := Bags(stand, 4, 0.4); n != 2 || name != "sandbag" {
		t.Errorf("%d %s", n, name)
	}
	if n, _ := Bags(stand, 1, 0.05); n != 1 {
		t.Errorf("%d bags for a light load: one on everything that carries", n)
	}
	boom := kit.Stand{Kind: "boom", Footprint: 1.4, Weight: 11.5, Reach: 2.1}
	// 3 kg at 2.1 m less the leg's 0.35 m: 2 × 5.25 over 0.35 m is 30 kg; less 11.5: 18.5 kg, two
	// of 11.3.
	if n, name := Bags(boom, 3, 0); n != 2 || name != "sandbag heavy" {
		t.Errorf("%d %s", n, name)
	}
}

// TestCable: the way round a counter that stands in the middle, by the closed form over its corner.
func TestCable(t *testing.T) {
	f := parsed(t, `
halfstop: 1
room:
  size: [6, 6, 3]
  objects: [{name: counter, box: {at: [2, 0], size: [1, 4, 1]}}]
setups: [{name: A}]`)
	g, ok := newFloor(f, &f.Setups[0])
	if !ok {
		t.Fatal("no floor")
	}
	n, _, ok := g.path(1, 1, 4, 1)
	want := math.Hypot(1, 3) + 1 + math.Hypot(1, 3) // over both corners of the counter's end
	// 3 % for the sixteen directions of the grid, and a cell at each end and corner.
	if !ok || n < want-0.2 || n > want*1.03+0.4 {
		t.Errorf("%.2f m, by the corners %.2f m", n, want)
	}
	shut := parsed(t, `
halfstop: 1
room:
  size: [6, 6, 3]
  objects: [{name: wall, box: {at: [2, 0], size: [1, 6, 1]}}]
setups: [{name: A}]`)
	g, _ = newFloor(shut, &shut.Setups[0])
	if _, _, ok := g.path(1, 1, 4, 1); ok {
		t.Error("a cable went through furniture from wall to wall")
	}
}

const packShoot = `
halfstop: 1
day: {people: [{name: P, does: [photographer]}, {name: A, does: [assistant]}], frames: 180}
kit:
  heads: [{name: battery head 500, have: 1}, {name: battery head 200, have: 2}]
  modifiers: [{name: octa 120, have: 1}]
room:
  size: [6, 5, 3]
  circuits: [{name: ring, volts: 230 V, amps: 13 A, outlets: [[0, 2.5]]}]
setups:
  - name: One
    priority: 1
    camera: {at: [5, 2.5, 1.5]}
    sitter: {at: [2, 2.5]}
    lights:
      - {role: key, head: battery head 500, modifier: octa 90, at: [3, 3.5, 2], power: 1/2}
      - {role: fill, head: battery head 500, modifier: octa 90, at: [3, 1.5, 2], power: 1/8}
      - {role: sign, head: rgb panel 300, at: [1, 1, 2], outlet: ring}
`

// TestPack: what is short is hired, with what could stand in; batteries by flashes; no case over
// what one lifts.
func TestPack(t *testing.T) {
	f := parsed(t, packShoot)
	k := kit.Merge(kit.Catalogue(), f.Kit)
	plan, _ := FromShoot(f, &k)
	d, err := plan.Solve(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	p := FromDay(f, &k, plan, d)
	item := func(name string) Item {
		for _, i := range p.Items {
			if strings.EqualFold(i.Name, name) {
				return i
			}
		}
		t.Fatalf("no %s in %+v", name, p.Items)
		return Item{}
	}
	// The key at a half keeps the head that is there; the fill at an eighth goes to one of 200 Ws,
	// which has log2(200/500) + 3 stops left under the same modifier.
	if h := item("battery head 500"); h.Need != 2 || h.Hire != 1 ||
		h.Instead != "battery head 200" || h.Cost != "about: reaches it with 1.7 st in hand; as soft as now" {
		t.Errorf("%+v", h)
	}
	// 200 flashes at 1/2 and 200 at 1/8 are 125 full ones.
	head, _ := k.FindHead("battery head 500")
	want := max(1, int(math.Ceil(125/float64(head.Pops)*batterySafe))) + 1
	if b := item("battery for battery head 500"); b.Need != want {
		t.Errorf("%d batteries, want %d", b.Need, want)
	}
	if len(p.Cables) != 1 || p.Cables[0].LengthM < math.Hypot(1, 1.5)+2 {
		t.Errorf("%+v", p.Cables)
	}
	for _, c := range p.Cases {
		if c.WeightKg > caseLift && len(c.Holds) > 1 {
			t.Errorf("%s weighs %.1f kg", c.Name, c.WeightKg)
		}
	}
	if share2(&shoot.Light{Power: "1/8 + 1.0"}) != 0.25 {
		t.Error("1/8 and a stop is a quarter of full")
	}
}

// TestStandIn: what stands in for a modifier costs softness by its size, and a head that does not
// reach the level is short by the ratio of energies: log2(200/500) is 1.3 st at full.
func TestStandIn(t *testing.T) {
	text := strings.Replace(packShoot, "{name: octa 120, have: 1}",
		"{name: octa 90, have: 1}, {name: octa 120, have: 1}", 1)
	text = strings.ReplaceAll(strings.ReplaceAll(text, "power: 1/2", "power: 1/1"), "power: 1/8", "power: 1/1")
	f := parsed(t, text)
	k := kit.Merge(kit.Catalogue(), f.Kit)
	plan, _ := FromShoot(f, &k)
	d, err := plan.Solve(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	small, _ := k.FindModifier("octa 90")
	large, _ := k.FindModifier("octa 120")
	wide := float64(large.Face.Size[0] / small.Face.Size[0])
	want := map[string][2]string{"battery head 500": {"battery head 200", "1.3 st short at full"},
		"octa 90": {"octa 120", fmt.Sprintf("shadow edges %.2f times as wide", wide)}}
	for _, it := range FromDay(f, &k, plan, d).Items {
		if w, ok := want[it.Name]; ok {
			if delete(want, it.Name); it.Instead != w[0] || !strings.Contains(it.Cost, w[1]) {
				t.Errorf("%+v, want %v", it, w)
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("not on the list: %v", want)
	}
}

// TestPackOnPlatform: stands of lights and panels are chosen by how high they are over what they
// stand on, and who stands on a step has the face there.
func TestPackOnPlatform(t *testing.T) {
	const text = `
halfstop: 1
room:
  size: [6, 5, 4]
  objects: [{name: stage, kind: platform, box: {at: [0, 3, 0], size: [6, 2, 1.2]}}]
setups:
  - name: A
    sitter: {at: [3, 4], faces: [0, -1, 0]}
    lights: [{name: key, role: key, head: battery head 200, stand: light stand 300, at: [3, 3.8, 3.2], aim: [3, 4, 2.8]}]
    panels: [{kind: flag, size: [0.6, 0.9], at: [2, %s, 3.0], aim: [3, 4, 2.8]}]`
	k := kit.Catalogue()
	stands := func(y string) (names []string) {
		f := parsed(t, fmt.Sprintf(text, y))
		plan, _ := FromShoot(f, &k)
		d, err := plan.Solve(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, it := range FromDay(f, &k, plan, d).Items {
			if it.Group == "stands" && it.Name != "tripod" {
				names = append(names, it.Name)
			}
		}
		if h := headHeight(f, &f.Setups[0]); math.Abs(h-1.2-0.93*float64(f.Setups[0].Sitter.Stature)) > 1e-9 {
			t.Errorf("the face is taken to be at %.2f m", h)
		}
		return names
	}
	up, down := stands("4"), stands("1")
	a, _ := k.FindStand(up[0])
	b, _ := k.FindStand(down[len(down)-1])
	if len(up) == 0 || float64(a.Highest) >= 3 || !strings.Contains(strings.Join(up, " "), "light stand") {
		t.Errorf("1.8 m over the platform: %v", up)
	}
	if float64(b.Highest) < 2.9 || len(down) == len(up) {
		t.Errorf("3.0 m over the floor: %v, on the platform %v", down, up)
	}
}
