package ways

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
)

// exposureNoted and exposureWarned are the differences in stops between the face and the camera's
// setting from which it is noted, and from which it is a warning by itself (judgement).
const (
	exposureNoted  = 1.0
	exposureWarned = 3.0
)

// Sentence returns one or two sentences on what to do and why: the answer before the tables.
func (b *Balanced) Sentence() string {
	if len(b.Problem.Targets) == 0 {
		return "There is no look to balance for."
	}
	var missed, unknown []int
	for i, o := range b.Solution.Targets {
		switch {
		case o.Unknown:
			unknown = append(unknown, i)
		case !o.Met:
			missed = append(missed, i)
		}
	}
	slices.SortStableFunc(missed, func(x, y int) int {
		switch a, c := b.Solution.Targets[x].Loss, b.Solution.Targets[y].Loss; {
		case a > c:
			return -1
		case a < c:
			return 1
		}
		return 0
	})
	var out string
	nearest := b.nearestSaid()
	had := pickText(nearest == "", "everything asked for is met", "all that can be had is had")
	changes := b.changesSaid()
	switch {
	case len(changes) == 0:
		out = "Leave it as it is"
	default:
		out = "Set " + list(changes)
	}
	switch {
	case len(missed) == 0 && len(unknown) == 0 && len(changes) == 0:
		out += ": " + had + "."
	case len(missed) == 0 && len(unknown) == 0:
		out += ": then " + had + "."
	case len(missed) == 0:
		t := unknown[0]
		out += fmt.Sprintf(": %s is %s, less than this kit is known to (± %.1f st). Meter it first.",
			b.Problem.Points[b.Problem.Targets[t].Point].Name, b.missSaid(t), b.Problem.Targets[t].Sigma)
		for _, t := range unknown {
			if c, ok := b.ended(t); ok {
				out += " " + capital(c.Said()) + "."
				break
			}
		}
	default:
		t, remedy := missed[0], ""
		out += fmt.Sprintf(". %s stays missed, %s", capital(b.aims[t].words), b.missSaid(t))
		if c := b.causes(t); len(c) > 0 {
			out += ": " + c[0].Words
			if c[0].Remedy != "" {
				remedy = " " + capital(c[0].Remedy) + "."
			}
		} else if r := b.Solution.Targets[t].Because; r != "" {
			out += ": " + r
		}
		out += "." + remedy
		if n := len(missed) - 1; n > 0 {
			out += fmt.Sprintf(" %d more %s missed.", n, pickText(n == 1, "is", "are"))
		}
	}
	out += nearest
	if w := b.exposureSaid(exposureWarned); w != "" {
		out = capital(w) + ". " + out
	}
	return out
}

// nearestSaid names the colour wishes that cannot be had with these lights and gels, each once,
// with the nearest that can.
func (b *Balanced) nearestSaid() (out string) {
	for i := range b.aims {
		if n := b.aims[i].nearest; n != "" && i < len(b.Problem.Targets) {
			out += fmt.Sprintf(" The colour wished at %s cannot be had with these lights and gels: the nearest is "+
				"%s.", b.pointName(b.Problem.Targets[i].Point), n)
		}
	}
	return out
}

// changesSaid returns what is to be set, the largest change first.
func (b *Balanced) changesSaid() (out []string) {
	type move struct {
		words string
		by    float64
	}
	var moves []move
	for l, s := range b.Solution.Lights {
		if !s.Changed {
			continue
		}
		p := &b.Problem.Lights[l]
		words := s.Name + " to " + b.rig.said(l, s.Level)
		d := float64(s.Level - p.Level)
		switch {
		case s.Off:
			words = s.Name + " off"
		case s.Option != p.Option:
			words += " with " + b.rig.options[l][s.Option].name
		case math.Abs(d) >= 0.05:
			words += fmt.Sprintf(" (%s %.1f st)", pickText(d > 0, "up", "down"), math.Abs(d))
		}
		moves = append(moves, move{words, math.Abs(d) + 10*pickNumber(s.Off || s.Option != p.Option)})
	}
	slices.SortStableFunc(moves, func(a, b move) int {
		switch {
		case a.by > b.by:
			return -1
		case a.by < b.by:
			return 1
		}
		return 0
	})
	for _, m := range moves {
		out = append(out, m.words)
	}
	c, s := &b.Problem.Camera, &b.Solution
	if s.Aperture != c.Aperture {
		out = append(out, "the camera to "+s.Aperture.String())
	}
	if s.Shutter != c.Shutter {
		out = append(out, pickText(s.Aperture != c.Aperture, "", "the camera to ")+s.Shutter.String())
	}
	if s.ISO != c.ISO {
		out = append(out, pickText(s.Aperture != c.Aperture || s.Shutter != c.Shutter, "",
			"the camera to ")+"ISO "+fmt.Sprintf("%g", math.Round(float64(s.ISO))))
	}
	return out
}

func pickNumber(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// list joins words: 'a, b and c'.
func list(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// exposureSaid returns by how much the key side of the face differs from the camera's aperture,
// where that is at least least stops; empty where it is less, or where the look asks for it.
func (b *Balanced) exposureSaid(least float64) string {
	for i := range b.After {
		r := &b.After[i]
		if !strings.EqualFold(r.Name, "face key side") || r.Dark {
			continue
		}
		over := float64(r.FNumber.StopsOver(b.Solution.Aperture))
		if math.Abs(over) < least {
			return ""
		}
		return fmt.Sprintf("%s reads %s with the camera at %s: %.1f st %s", r.Name, fText(r.FNumber),
			b.Solution.Aperture, math.Abs(over), pickText(over > 0, "over", "under"))
	}
	return ""
}

// inTheWay returns the lights that are changed though no target names them, with the target that
// each disturbs.
func (b *Balanced) inTheWay() (out []string) {
	for l, s := range b.Solution.Lights {
		if !s.Changed || !s.Unnamed {
			continue
		}
		worst, most := "", 0.01
		before := math.Exp2(float64(b.Problem.Lights[l].Level - s.Level)) // what it gave against now
		for i := range b.Problem.Targets {
			if _, _, share := b.part(l, b.Problem.Targets[i].Point); share*before > most {
				worst, most = b.aims[i].words, share*before
			}
			if to := b.Problem.Targets[i].To; to >= 0 {
				if _, _, share := b.part(l, to); share*before > most {
					worst, most = b.aims[i].words, share*before
				}
			}
		}
		words := s.Name + " is changed though nothing asks for it"
		if worst != "" {
			words += ": it stands in the way of '" + worst + "'"
		}
		out = append(out, words)
	}
	return out
}

// Sentence returns one or two sentences on which way to take and what it brings: the answer before
// the list.
func (f *Found) Sentence() string {
	if len(f.Missed) == 0 && len(f.Cannot) == 0 {
		return f.Base.Sentence()
	}
	var first *Way
	for i := range f.Ways {
		if k := f.Ways[i].Kind; k != "keep" {
			first = &f.Ways[i]
			break
		}
		if i == 0 {
			return fmt.Sprintf("Keep it as it is: nothing that can be done here is worth it. %s stays missed, %s.",
				capital(f.Missed[0].Words), f.Missed[0].Off)
		}
	}
	if first == nil && len(f.Cannot) > 0 {
		return f.cannotSaid() + "No place was found for it with what this shoot has: another modifier, " +
			"or another place of the sitter."
	}
	if first == nil {
		return f.Base.Sentence()
	}
	out := f.cannotSaid() + capital(first.Words)
	if first.Kind == "balanced" {
		out = "Balance it and leave the set: nothing else that can be done here is worth the work"
	}
	var brings, left, unsure []string
	firstLeft := -1
	for i, t := range first.Targets() {
		was := f.Base.Solution.Targets[i]
		switch {
		case !t.Met && !t.Known:
			unsure = append(unsure, fmt.Sprintf("%s is %s (± %.1f st)", t.Words, t.Missed,
				f.Base.Problem.Targets[i].Sigma))
		case !t.Met:
			if left = append(left, t.Words); firstLeft < 0 {
				firstLeft = i
			}
		case !was.Met && !was.Unknown:
			brings = append(brings, f.brought(i, &t))
		}
	}
	switch {
	case len(brings) > 0 && len(left)+len(unsure) == 0:
		out += ": then everything is met; " + list(brings)
	case len(brings) > 0:
		out += ": " + list(brings)
	}
	if first.Minutes > 0 {
		out += fmt.Sprintf("; %s, %s", minutesSaid(float64(first.Minutes)), first.Who)
	}
	out += "."
	if n := len(left); n > 0 {
		out += fmt.Sprintf(" %s stays missed", capital(left[0]))
		if n > 1 {
			out += fmt.Sprintf(", and %d more", n-1)
		}
		out += f.inPart(first, firstLeft) + "."
	}
	if len(unsure) > 0 {
		out += " " + capital(unsure[0]) + ": meter it first."
	}
	return out
}

// inPart says how much of what a target asks a way brings, where it brings a part only, and what
// brings the rest: another way of the list, else what the cause asks for.
func (f *Found) inPart(w *Way, i int) string {
	switch f.Base.Problem.Targets[i].Kind {
	case balance.Colour, balance.Warmth, balance.Ambient:
		return ""
	}
	asked := math.Abs(float64(f.Base.Solution.Targets[i].Residual))
	rest := math.Abs(float64(w.Targets()[i].Residual))
	if asked-rest < 0.05 || rest < 0.05 {
		return ""
	}
	out := fmt.Sprintf(": this brings %.1f of the %.1f st asked", asked-rest, asked)
	for n := range f.Ways {
		o := &f.Ways[n]
		if t := o.Targets(); o != w && i < len(t) && t[i].Met {
			return out + fmt.Sprintf("; way %d brings all of it%s", n+1, dearer(o, w))
		}
	}
	for _, m := range f.Missed {
		if m.Target != i {
			continue
		}
		for _, c := range m.Causes {
			done := c.Light >= 0 && slices.Contains(w.touched, f.Base.Stage.Layers[c.Light].Name)
			if house := w.Kind == "house lights" || w.Kind == "dimmer"; c.Remedy == "" || done ||
				house && c.Kind == NoDimmer {
				continue // it is what this way does
			}
			if w.Kind == "panel" && c.Kind == Unlit {
				return out + ". For the rest: a fill"
			}
			on := ""
			if c.Light >= 0 && slices.Contains([]CauseKind{OtherLight, Spill, WrongLight}, c.Kind) {
				on = " (" + f.Base.Stage.Layers[c.Light].Name + ")" // what 'it' is
			}
			return out + ". For the rest" + on + ": " + c.Remedy
		}
	}
	return out + "; the rest needs more than one way"
}

// dearer says what a way costs beside another that stands before it, the largest first: kit that is
// not free, minutes, the colour of the light, the shadow's edge.
func dearer(o, w *Way) string {
	switch {
	case len(o.Taken) > len(w.Taken):
		return ", but needs " + list(o.Taken)
	case o.Minutes > w.Minutes+1:
		return fmt.Sprintf(", but takes %s", minutesSaid(float64(o.Minutes)))
	case o.Softness < w.Softness/1.3:
		return ", with a harder edge of the shadow"
	case o.DeltaE > w.DeltaE+2:
		return ", with another colour of the light"
	}
	for i, t := range o.Targets() {
		if before := w.Targets()[i]; before.Met && !t.Met {
			return fmt.Sprintf(", but misses '%s'", t.Words)
		}
	}
	return ", and costs the picture more"
}

// brought says what a way does for a target, as one would call it across a set: 'wall left comes up
// 4.0 st to −1.5', 'hair edge reads f/4 + 0.3 (was f/2)'.
func (f *Found) brought(i int, t *WayTarget) string {
	target := &f.Base.Problem.Targets[i]
	name := f.Base.Problem.Points[target.Point].Name
	move := t.After - t.Before
	switch target.Kind {
	case balance.Reading:
		return fmt.Sprintf("%s reads %s (was %s)", name, t.AfterText, t.BeforeText)
	case balance.Level:
		if t.BeforeText == "dark" {
			return fmt.Sprintf("%s comes to %s (was dark)", name, t.AfterText)
		}
		return fmt.Sprintf("%s %s %.1f st to %s", name, pickText(move > 0, "comes up", "goes down"), math.Abs(move),
			strings.TrimSuffix(t.AfterText, " st"))
	case balance.ReadingAbove, balance.LevelAbove:
		other := f.Base.Problem.Points[target.To].Name
		side := func(v float64, text string) string {
			if math.Abs(v) < 0.05 {
				return "level with " + other
			}
			return strings.TrimLeft(text, "+−") + " " + pickText(v > 0, "over ", "under ") + other
		}
		was := strings.TrimSuffix(strings.TrimLeft(t.BeforeText, "+−"), " st")
		if t.Before*t.After < 0 {
			was = side(t.Before, t.BeforeText)
		}
		return fmt.Sprintf("%s is %s (was %s)", name, side(t.After, t.AfterText), was)
	case balance.Warmth:
		return fmt.Sprintf("%s is %.0f mired %s than the white (was %.0f)", name, math.Abs(t.After),
			pickText(t.After < 0, "cooler", "warmer"), t.Before*math.Copysign(1, t.After))
	case balance.Colour:
		return fmt.Sprintf("the colour at %s is %s (was %s)", name, t.AfterText, t.BeforeText)
	case balance.Ambient:
		return fmt.Sprintf("%s of the light at %s is not flash (was %s)", t.AfterText, name, t.BeforeText)
	}
	return fmt.Sprintf("%s %s (was %s)", t.Words, t.AfterText, t.BeforeText)
}

// minutesSaid returns a duration in words.
func minutesSaid(m float64) string {
	if m < 1 {
		return fmt.Sprintf("%.0f s", math.Max(5, math.Round(m*60/5)*5))
	}
	return fmt.Sprintf("%.0f min", math.Round(m))
}
