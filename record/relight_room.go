package record

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"halfstop/answer"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// house switches the house lights of the new room as the old look had them: one of the same name as
// it was, else by its kind, so that what the old look had none of is off. What may not be switched
// is said.
func (r *Relit) house(e *editor, p string, w RelightWork, old, empty *stage.Stage) {
	burned, kinds := map[string]bool{}, map[string]bool{}
	for i := range old.Layers {
		if l := &old.Layers[i]; l.Light < 0 {
			burned[strings.ToLower(l.Name)] = true
			if l.Kind == stage.Practical {
				kinds[houseWord(old.Shoot, l.Name)] = true
			}
		}
	}
	there := map[string]bool{}
	for i := range old.Shoot.Room.Practicals {
		there[strings.ToLower(old.Shoot.Room.Practicals[i].Name)] = true
	}
	for i := range old.Shoot.Room.Windows {
		there[strings.ToLower(old.Shoot.Room.Windows[i].Name)] = true
	}
	var off []string
	for i := range empty.Layers {
		l := &empty.Layers[i]
		if l.Light >= 0 {
			continue
		}
		name := strings.ToLower(l.Name)
		on := burned[name]
		if !there[name] {
			on = l.Kind != stage.Practical || kinds[houseWord(empty.Shoot, l.Name)]
		}
		if on {
			continue
		}
		for k := range empty.Shoot.Room.Practicals {
			x := &empty.Shoot.Room.Practicals[k]
			if !strings.EqualFold(x.Name, l.Name) {
				continue
			}
			if x.Control == "fixed" {
				r.Notes = append(r.Notes, fmt.Sprintf("%s was not in the old look and may not be switched off", x.Name))
				on = true
			} else if x.Whose != "" {
				r.Notes = append(r.Notes, fmt.Sprintf("to switch off %s ask %s", x.Name, x.Whose))
			}
		}
		if !on {
			off = append(off, l.Name)
		}
	}
	e.drop(p + ".off")
	if len(off) == 0 {
		return
	}
	var list []string
	for _, n := range off {
		list = append(list, yamltext.Quote(n, true))
	}
	e.set(p+".off", "["+strings.Join(list, ", ")+"]")
	r.Why = append(r.Why, fmt.Sprintf("off, as the old look had none of it: %s", strings.Join(off, ", ")))
}

// effects says what the new room does, each by its effect: its surfaces by tracing with those of
// the old room in their place, its own lights by their shares.
func (r *Relit) effects(ctx context.Context, w RelightWork, old *stage.Stage, now *answer.Metered) {
	if r.Mirrored {
		r.Why = append(r.Why, "left and right are changed: the room lies the other way round")
	}
	for _, d := range r.Compared.Differences {
		if d.What != "there" && d.What != "share" && d.About != "room" {
			r.Why = append(r.Why, d.Words)
		}
	}
	if d := r.Record.Room.Height - w.Record.Room.Height; math.Abs(d) >= 0.05 && w.Record.Room.Height > 0 {
		r.Why = append(r.Why, fmt.Sprintf("the ceiling is %.0f cm %s", 100*math.Abs(d),
			word(d > 0, "higher", "lower")))
	}
	base := levels(now)
	for _, s := range []struct {
		key      string
		was, now float64
	}{{"walls", w.Record.Room.Walls, r.Record.Room.Walls}, {"ceiling", w.Record.Room.Ceiling, r.Record.Room.Ceiling},
		{"floor", w.Record.Room.Floor, r.Record.Room.Floor}} {
		if !(s.was > 0) || !(s.now > 0) || math.Abs(math.Log2(s.now/s.was)) < 0.15 {
			continue
		}
		f := *r.Job.File
		f.Room.Surfaces = map[string]shoot.Surface{}
		for k, v := range r.Job.File.Room.Surfaces {
			if s.key != "walls" || !strings.HasPrefix(k, "wall ") {
				f.Room.Surfaces[k] = v
			}
		}
		f.Room.Surfaces[s.key] = shoot.Surface{Diffuse: &shoot.Reflectance{Value: s.was}}
		j := *r.Job
		j.File = &f
		m, _, err := j.Meter(ctx, 0, w.Meter)
		if err != nil || m == nil {
			return
		}
		words := fmt.Sprintf("the %s: %s, %s against %s", s.key, word(s.now > s.was, "paler", "darker"),
			percent(s.now), percent(s.was))
		for _, p := range []string{"face shadow side", "face key side", "hair edge"} {
			if d := base[p] - levels(m)[p]; math.Abs(d) >= 0.05 {
				words += fmt.Sprintf("; %s %+.1f st", p, d)
			}
		}
		r.Why = append(r.Why, words)
	}
	for _, h := range w.Record.House { // what lit a reading there, and is not here
		if slices.ContainsFunc(r.Record.House, func(x House) bool { return strings.EqualFold(x.Name, h.Name) }) {
			continue
		}
		var gave []string
		for _, p := range []string{"face shadow side", "face key side", "hair edge"} {
			if x := w.Record.Point(p); x != nil {
				if i := slices.Index(x.Lights, h.Name); i >= 0 && i < len(x.Shares) && x.Shares[i] >= 0.1 {
					gave = append(gave, fmt.Sprintf("%s of the %s", percent(x.Shares[i]), p))
				}
			}
		}
		if len(gave) > 0 {
			r.Why = append(r.Why, fmt.Sprintf("%s (%s) is not here: it gave %s there", h.Name, h.Word,
				strings.Join(gave, ", ")))
		}
	}
	sums, names := map[string]float64{}, map[string][]string{} // lights of one kind are told together
	for _, h := range r.Record.House {
		sums[h.Word] += h.Share
		names[h.Word] = append(names[h.Word], h.Name)
	}
	for _, kind := range slices.Sorted(maps.Keys(sums)) {
		if sums[kind] < 0.03 {
			continue
		}
		who := names[kind][0] + " gives"
		if n := len(names[kind]); n > 1 {
			who = fmt.Sprintf("%d of the house (%s) give", n, cmp.Or(kind, "practicals"))
		}
		r.Why = append(r.Why, fmt.Sprintf("%s %s of the light at the face", who, percent(sums[kind])))
	}
}

// levels are the readings of a setup by point, stops.
func levels(m *answer.Metered) map[string]float64 {
	out := map[string]float64{}
	for i := range m.Readings {
		if r := &m.Readings[i]; !r.Dark {
			out[r.Name] = 2 * math.Log2(float64(r.FNumber))
		}
	}
	return out
}
