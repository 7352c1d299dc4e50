package day

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// Item is one row of the kit list.
type Item struct {
	Group    string  `json:"group"` // 'heads', 'modifiers', …
	Name     string  `json:"name"`
	Need     int     `json:"need"`
	Have     int     `json:"have"`                // 0: the kit does not say
	Hire     int     `json:"hire"`                // how many are missing
	WeightKg float64 `json:"weight_kg,omitempty"` // of one; 0: not known
	Why      string  `json:"why"`
	Instead  string  `json:"instead,omitempty"` // what of the own kit could stand in
	Cost     string  `json:"instead_costs,omitempty"`
	// Solved says that Instead and Cost are of the setups lit again with it, not of its source
	// alone.
	Solved   bool      `json:"instead_solved,omitempty"`
	StandIns []StandIn `json:"-"` // the likeliest, by the source alone
}

// StandIn is a thing of the own kit in the place of one that is short, and the lights that take it:
// what is at hand goes to those that need it most.
type StandIn struct {
	Name   string
	Spare  float64  // stops left at full once it gives what is asked; under 0: it is short
	Width  float64  // of its face against the one that is missing
	Lights [][2]int // setup, light
}

// Case is one packed case.
type Case struct {
	Name     string   `json:"name"`
	WeightKg float64  `json:"weight_kg"` // with the case
	Holds    []string `json:"holds"`
}

// CableRun is one cable from a light to its outlet.
type CableRun struct {
	Setup   string `json:"setup"`
	Light   string `json:"light"`
	Circuit string `json:"circuit"`
	// Along the floor round what stands there, with the drop and a loop at the stand.
	LengthM float64      `json:"length_m"`
	Path    [][2]float64 `json:"path"` // from the outlet to the light, metres
}

// Pack is all that goes into the van.
type Pack struct {
	Items    []Item     `json:"items"`
	Cases    []Case     `json:"cases"`
	Cables   []CableRun `json:"cables"`
	WeightKg float64    `json:"weight_kg"`
	VolumeM3 float64    `json:"volume_m3"`
	Trips    int        `json:"lift_trips"`
	Notes    []string   `json:"notes"`
}

// The rules of packing. All are common practice without a source, but where one stands.
const (
	caseLift    = 20.0 // kg that one person lifts with the case; people and paths differ
	caseEmpty   = 9.0  // kg, a rolling case
	caseVolume  = 0.11 // m³, a rolling case
	longVolume  = 0.05 // m³, what goes beside cases: stands, booms, frames
	liftLoad    = 150.0
	testFrames  = 20  // of a setup, before the sitter
	setMinutes  = 10  // a steady head burns before the sitter comes
	batterySafe = 1.3 // margin of flashes
	tipMargin   = 2.0 // moment that resists over moment that overturns
	slackM      = 1.0 // cable: a loop at the stand's foot
	tapeEveryM  = 0.5
)

// packer collects the list.
type packer struct {
	f     *shoot.File
	kit   *kit.Kit
	p     *Pack
	index map[string]int
}

// need raises the count of an item to n.
func (k *packer) need(group, name string, n, have int, weight float64, why string) {
	key := group + "\x00" + strings.ToLower(name)
	i, ok := k.index[key]
	if !ok {
		i = len(k.p.Items)
		k.index[key] = i
		k.p.Items = append(k.p.Items, Item{Group: group, Name: name, Have: have, WeightKg: weight, Why: why})
	}
	k.p.Items[i].Need = max(k.p.Items[i].Need, n)
}

// FromDay lists the kit of a shoot: what the setups need at once as the day is planned (what a
// light becomes of the one before is counted once), stands by load and height, sandbags by moment,
// cables along the floor, batteries by flashes, spares by rule.
func FromDay(f *shoot.File, whole *kit.Kit, plan *Plan, d *Day) *Pack {
	k := &packer{f: f, kit: whole, p: &Pack{Items: []Item{}, Cables: []CableRun{}, Notes: []string{}},
		index: map[string]int{}}
	order := d.Order
	if len(order) == 0 {
		for i := range f.Setups {
			order = append(order, i)
		}
	}
	k.lights(order, d.Built)
	k.support(order)
	k.power(order)
	k.panels(order)
	k.spares(order)
	for i := range k.p.Items {
		it := &k.p.Items[i]
		if it.Have > 0 {
			it.Hire = max(0, it.Need-it.Have)
		}
		if it.Hire > 0 {
			k.instead(it)
		}
		k.p.WeightKg += float64(it.Need) * it.WeightKg
	}
	slices.SortStableFunc(k.p.Items, func(a, b Item) int {
		return cmp.Compare(slices.Index(groups, a.Group), slices.Index(groups, b.Group))
	})
	k.cases()
	return k.p
}

var groups = []string{"heads", "modifiers", "grids", "gels", "panels", "stands", "weights", "power",
	"camera and small things", "haze"}

// lights counts heads, modifiers, grids and gels: the most of each that stand at once at any
// change.
func (k *packer) lights(order []int, built uint) {
	at := map[string]int{} // group and name to the most at once
	names := map[string][2]string{}
	count := func(list []shoot.Light) map[string]int {
		n := map[string]int{}
		add := func(group, name string) {
			if name == "" || strings.EqualFold(name, "bare") {
				return
			}
			key := group + "\x00" + strings.ToLower(name)
			n[key]++
			names[key] = [2]string{group, name}
		}
		for i := range list {
			l := &list[i]
			if l.Head == "" {
				continue
			}
			add("heads", l.Head)
			add("modifiers", l.Modifier)
			add("grids", l.Grid)
			for _, g := range l.Gel {
				add("gels", g)
			}
		}
		return n
	}
	var before []shoot.Light
	var standing []shoot.Light
	for _, i := range order {
		if built&(1<<i) != 0 {
			standing = append(standing, k.f.Setups[i].Lights...)
		}
	}
	for n, i := range order {
		lights := k.f.Setups[i].Lights
		// What stood before, and what is new of this setup.
		all := slices.Clone(before)
		pair := pairs(before, lights)
		for j := range lights {
			if pair[j] < 0 {
				all = append(all, lights[j])
			}
		}
		for key, c := range count(all) {
			if strings.HasPrefix(key, "heads") {
				at[key] = max(at[key], c)
			}
		}
		for key, c := range count(lights) {
			at[key] = max(at[key], c)
		}
		if n == 0 {
			for key, c := range count(append(slices.Clone(standing), lights...)) {
				if built != 0 {
					at[key] = max(at[key], c)
				}
			}
		}
		before = lights
	}
	keys := make([]string, 0, len(at))
	for key := range at {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	for _, key := range keys {
		group, name := names[key][0], names[key][1]
		have, weight, why := 0, 0.0, "at once as the day is planned"
		switch group {
		case "heads":
			h, _ := k.kit.FindHead(name)
			have, weight = h.Have, float64(h.Weight)
			if t, ok := k.kit.FindThing(strings.Replace(strings.ToLower(name), "pack head", "power pack", 1)); ok {
				k.need("power", t.Name, at[key], t.Have, float64(t.Weight), "one a head; two heads may share one")
			}
		case "modifiers":
			m, _ := k.kit.FindModifier(name)
			have, weight = m.Have, float64(m.Weight)
		case "grids":
			g, _ := k.kit.FindGrid(name)
			have, weight = g.Have, float64(g.Weight)
		case "gels":
			g, _ := k.kit.FindGel(name)
			have, why = g.Have, "cut to the head's reflector, "+k.gelSize(name)+", and one spare sheet"
		}
		k.need(group, name, at[key], have, weight, why)
	}
}

// gelSize is the sheet that covers the lights that use a gel.
func (k *packer) gelSize(name string) string {
	side := 0.0
	for i := range k.f.Setups {
		for _, l := range k.f.Setups[i].Lights {
			if !slices.ContainsFunc(l.Gel, func(g string) bool { return strings.EqualFold(g, name) }) {
				continue
			}
			h, _ := k.kit.FindHead(l.Head)
			s := 0.25 // over a bare head or inside a box
			if h.Face != nil && len(h.Face.Size) > 0 && strings.EqualFold(bare(l.Modifier), "bare") {
				s = float64(slices.Max(h.Face.Size)) + 0.05
			}
			side = max(side, s)
		}
	}
	return fmt.Sprintf("%.0f × %.0f cm", side*100, side*100)
}

// power is cables, batteries and their things.
func (k *packer) power(order []int) {
	longest, runs := 0.0, 0
	batteries := map[string]float64{} // full charges by head
	for _, i := range order {
		s := &k.f.Setups[i]
		g, ok := newFloor(k.f, s)
		n := 0
		var unsaid []string
		frames := k.f.Day.Frames
		if s.Day != nil && s.Day.Frames > 0 {
			frames = s.Day.Frames
		}
		for j := range s.Lights {
			l := &s.Lights[j]
			h, known := k.kit.FindHead(l.Head)
			if !known {
				continue
			}
			if l.Outlet != "" {
				if ok {
					if r, found := k.cable(g, s, l); found {
						k.p.Cables = append(k.p.Cables, r)
						longest = max(longest, r.LengthM)
					} else {
						k.p.Notes = append(k.p.Notes,
							fmt.Sprintf("%s, %s: no way over the floor leads to an outlet of %s",
								s.Name, called(l.Name, l.Role), l.Outlet))
					}
				}
				n++
				continue
			}
			switch {
			case h.Feed == "mains":
				unsaid = append(unsaid, called(l.Name, l.Role))
				n++
			case h.Pops > 0:
				batteries[h.Name] += float64(frames+testFrames) * share2(l) / float64(h.Pops)
			case h.RunTime > 0:
				batteries[h.Name] += (DurationOf(s).Likely + setMinutes) * share(l.Level) / float64(h.RunTime)
			}
		}
		if len(unsaid) > 0 {
			k.p.Notes = append(k.p.Notes, fmt.Sprintf("%s: on the mains, and no outlet is said, so 10 m of cable are "+
				"counted for each: %s", s.Name, strings.Join(unsaid, ", ")))
		}
		runs = max(runs, n)
	}
	for _, name := range sortedKeys(batteries) {
		n := int(math.Ceil(batteries[name] * batterySafe))
		t, _ := k.kit.FindThing("spare battery")
		k.need("power", "battery for "+name, max(1, n)+1, 0, float64(t.Weight),
			charges(batteries[name])+" for all setups, a third more, and one spare; below 5 °C half as many again")
	}
	if runs > 0 {
		t, _ := k.kit.FindThing("extension 10 m")
		per := int(math.Ceil(max(1, longest) / 10))
		k.need("power", "extension 10 m", runs*per, t.Have, float64(t.Weight),
			measured(longest)+"; uncoil reels fully")
		k.need("power", "floor tape, roll", 1, 0, 0.5,
			"every crossing whole, the rest every half metre; where tape is forbidden: mats")
	}
}

// charges says how much of batteries is used.
func charges(n float64) string {
	if n < 0.05 {
		return "less than a tenth of a charge"
	}
	return fmt.Sprintf("%.1f charges", n)
}

func measured(longest float64) string {
	if longest <= 0 {
		return "no run can be measured yet"
	}
	return fmt.Sprintf("longest run %.1f m", longest)
}

// DurationOf is how long a setup's pictures take, minutes, by the file or by common practice.
func DurationOf(s *shoot.Setup) Duration {
	if s.Day != nil && s.Day.Shoot.Said() {
		return Of(s.Day.Shoot)
	}
	for _, u := range Usuals() {
		if u.Action == "shoot" {
			return u.Dur
		}
	}
	return Duration{}
}

// share2 is the share of a full flash that a light's setting takes.
func share2(l *shoot.Light) float64 {
	p, err := q.ParsePower(l.Power)
	if err != nil {
		return 1
	}
	return math.Exp2(float64(p))
}

// cable finds the way from a light to the nearest outlet of its circuit.
func (k *packer) cable(g *floor, s *shoot.Setup, l *shoot.Light) (CableRun, bool) {
	best := CableRun{Setup: s.Name, Light: called(l.Name, l.Role), Circuit: l.Outlet}
	found := false
	for _, c := range k.f.Room.Circuits {
		if !strings.EqualFold(c.Name, l.Outlet) || len(l.At) < 2 {
			continue
		}
		for _, o := range c.Outlets {
			n, way, ok := g.path(float64(l.At[0]), float64(l.At[1]), float64(o[0]), float64(o[1]))
			n += height(l.At, l.Height) + slackM
			if ok && (!found || n < best.LengthM) {
				best.LengthM, best.Path, found = n, way, true
			}
		}
	}
	return best, found
}

func (k *packer) panels(order []int) {
	most := map[string]int{}
	for _, i := range order {
		here := map[string]int{}
		for _, p := range k.f.Setups[i].Panels {
			here[fmt.Sprintf("%s %.0f × %.0f cm", p.Kind, float64(p.Size[0])*100, float64(p.Size[1])*100)]++
		}
		for name, n := range here {
			most[name] = max(most[name], n)
		}
	}
	for _, name := range sortedKeys(most) {
		word, _, _ := strings.Cut(name, " ")
		have, weight := 0, 3.0
		if p, ok := k.kit.FindPanel(word); ok {
			have = p.Have
			weight = cmp.Or(float64(p.Weight), weight)
		}
		k.need("panels", name, most[name], have, weight, "the most of any setup")
	}
}

// spares are what every bag has, and what this one needs by rule.
func (k *packer) spares(order []int) {
	small := "camera and small things"
	frames, haze, flashes := 0, false, 0
	lenses := map[string]bool{}
	for _, i := range order {
		s := &k.f.Setups[i]
		n := k.f.Day.Frames
		if s.Day != nil && s.Day.Frames > 0 {
			n = s.Day.Frames
		}
		frames += n + testFrames
		haze = haze || s.Haze != nil
		if c := s.Camera; c != nil {
			lenses[fmt.Sprintf("lens %.0f mm", float64(c.Lens)*1000)] = true
			if c.ND > 0 {
				lenses[fmt.Sprintf("ND filter %.1f st", float64(c.ND))] = true
			}
		}
		here := 0
		for j := range s.Lights {
			if h, ok := k.kit.FindHead(s.Lights[j].Head); ok && h.Kind == "flash" && !s.Lights[j].Off {
				here++
			}
		}
		flashes = max(flashes, here)
	}
	k.need(small, "camera body", 2, 0, 0.9, "one to use, one that works when it does not")
	for _, l := range sortedKeys(lenses) {
		k.need(small, l, 1, 0, 0.6, "as the setups' cameras are written")
	}
	k.need("stands", "tripod", 1, 0, 2.5, "for plates and for slow shutters; marks hold the place")
	k.need(small, "memory card 64 GB", 1+int(math.Ceil(float64(frames)*60/60000)), 0, 0,
		fmt.Sprintf("%d frames of about 60 MB, and one spare", frames))
	if flashes > 0 {
		k.need(small, "trigger", 2, 0, 0.1, "one spare: a forgotten one has cost a location")
	}
	k.need(small, "meter", 1, 0, 0.2, "")
	k.need(small, "cloth tape, roll", 1, 0, 0.7, "marks for feet, camera and stands")
	k.need(small, "grey card", 1, 0, 0.1, "")
	if haze {
		t, _ := k.kit.FindThing("hazer")
		k.need("haze", "hazer and its fluid", 1, t.Have, float64(t.Weight),
			"ask the venue and the alarm's contact in writing; water-based fluid of the machine's maker only")
	}
}

func (k *packer) used(group, name string) int {
	if i, ok := k.index[group+"\x00"+strings.ToLower(name)]; ok {
		return k.p.Items[i].Need
	}
	return 0
}

// cases packs what is small into cases that one person may lift: first fit, heaviest first.
// Stands, booms, frames and panels go beside them.
func (k *packer) cases() {
	long := []string{"stands", "panels", "weights"}
	type piece struct {
		name string
		kg   float64
	}
	var small []piece
	beside := 0
	for _, it := range k.p.Items {
		if slices.Contains(long, it.Group) {
			beside += it.Need
			continue
		}
		for range it.Need {
			small = append(small, piece{it.Name, it.WeightKg})
		}
	}
	slices.SortStableFunc(small, func(a, b piece) int { return cmp.Compare(b.kg, a.kg) })
	for _, s := range small {
		i := slices.IndexFunc(k.p.Cases, func(c Case) bool { return c.WeightKg+s.kg <= caseLift })
		if i < 0 {
			i = len(k.p.Cases)
			k.p.Cases = append(k.p.Cases, Case{Name: fmt.Sprintf("case %d", i+1), WeightKg: caseEmpty})
		}
		c := &k.p.Cases[i]
		c.WeightKg += s.kg
		c.Holds = append(c.Holds, s.name)
		if c.WeightKg > caseLift {
			k.p.Notes = append(k.p.Notes, fmt.Sprintf("%s weighs %.0f kg with its case: two people or wheels",
				s.name, c.WeightKg))
		}
	}
	k.p.WeightKg += caseEmpty * float64(len(k.p.Cases))
	k.p.VolumeM3 = caseVolume*float64(len(k.p.Cases)) + longVolume*float64(beside)
	k.p.Trips = max(1, int(math.Ceil(k.p.WeightKg/liftLoad)))
}

func height(at []q.Metres, h q.Metres) float64 {
	if len(at) > 2 {
		return float64(at[2])
	}
	return float64(h)
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
