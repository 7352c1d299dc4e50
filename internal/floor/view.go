package floor

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/day"
	"halfstop/figure"
	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

type stageSetup = shoot.Setup

// same reports whether two views say the same.
func same(a, b *View) bool {
	x, err1 := json.Marshal(a)
	y, err2 := json.Marshal(b)
	return err1 == nil && err2 == nil && string(x) == string(y)
}

// view makes what is shown, of plan and log.
func (w *worker) view(entries []daylog.Entry) View {
	v := View{Setups: []Setup{}, Setup: -1, Tasks: []Task{}, Dials: []Dial{}, Points: []Point{},
		Changes: []Change{}, Calls: []Call{},
		Frames: []Frame{}, Cautions: []string{}, Troubles: []string{}, Plan: Plan{People: []string{},
			Seen: []string{}, Unseen: []string{}}}
	calls(&v, entries)
	if w.job == nil {
		v.Troubles = append(v.Troubles, "the shoot file has errors: mend it at the desk")
		return v
	}
	v.Title = w.job.File.Shoot.Title
	w.planned(&v, entries)
	w.showFrames(&v, entries)
	if w.setup < 0 {
		return v
	}
	s := &w.job.File.Setups[w.setup]
	if v.Setup = slices.IndexFunc(v.Setups, func(x Setup) bool { return x.Name == s.Name }); v.Setup < 0 {
		v.Setups = append(v.Setups, Setup{Name: s.Name, In: true})
		v.Setup = len(v.Setups) - 1
	}
	if err := w.tried[w.setup]; err != nil {
		v.Troubles = append(v.Troubles, s.Name+" cannot be metered: "+err.Error())
	}
	st := w.floor.Stage(w.setup)
	if st == nil { // not metered yet, or it cannot be
		if st = w.staged(); st == nil {
			return v
		}
	}
	v.Cautions = w.cautionsOf(st)
	dials, lastDial := dialled(entries, s.Name)
	taken := takenOf(entries, s.Name)
	w.dials(&v, st, entries, dials, taken)
	w.points(&v, st, entries, s.Name, lastDial)
	v.Place = w.place(st, &v)
	w.propose(&v, st, entries, taken)
	v.Changes = changes(entries, s.Name)
	return v
}

// planned shows the plan of the day.
func (w *worker) planned(v *View, entries []daylog.Entry) {
	done := map[string]*Done{}
	for i := range entries {
		e := &entries[i]
		switch o := ownOf(e); {
		case e.Kind == daylog.Tick && done[e.Subject] == nil:
			done[e.Subject] = &Done{e.Seq, e.Who, e.At.UnixMilli()}
		case e.Kind == daylog.Late && e.Value != nil:
			v.Plan.Late = *e.Value
		case o.Floor == "plan":
			v.Plan.Number, v.Plan.Late = e.Seq, 0
			v.Plan.Made, _ = day.Seconds(o.Now)
			v.Plan.Why = strings.TrimSpace(e.Who + ": " + e.Text)
		}
	}
	if w.planErr != nil {
		v.Plan.Problem = w.planErr.Error()
	}
	if w.plan == nil {
		return
	}
	v.Plan.Sentence, v.Plan.People = w.plan.Sentence, append(v.Plan.People, w.plan.People...)
	for _, s := range w.plan.Setups {
		x := Setup{Name: s.Name, Shot: s.Shot || done[s.Name+": shoot"] != nil, In: s.In}
		x.Begin, _ = day.Seconds(s.Begin)
		x.End, _ = day.Seconds(s.End)
		v.Setups = append(v.Setups, x)
	}
	for _, t := range w.plan.Tasks {
		x := Task{ID: t.ID, Text: strings.TrimPrefix(t.Text, t.Setup+": "), Setup: t.Setup,
			People: append([]string{}, t.People...), Start: t.Start,
			End: t.Start + t.Seconds, Slack: t.Slack, Picture: t.Picture, Done: done[t.ID], Critical: t.Slack < 60}
		switch low := strings.ToLower(t.Text); {
		case strings.Contains(low, "haze"):
			x.Caution = "Haze sets off smoke heads: ask the venue first, tell everyone, keep a way out."
		case strings.HasPrefix(t.Action, "cable"), strings.Contains(low, ": cable "):
			x.Caution = "Mains: look at plug and cable, uncoil it, no joint in the wet, mats over ways."
		case strings.Contains(low, "boom"), strings.Contains(low, ": fly "):
			x.Caution = "Overhead: bag on the leg, second fixing, nobody under it while it goes up."
		}
		v.Tasks = append(v.Tasks, x)
	}
	slices.SortStableFunc(v.Tasks, func(a, b Task) int { return a.Start - b.Start })
}

// calls lists who asks for help: a call stands until it is reversed or answered by a tick.
func calls(v *View, entries []daylog.Entry) {
	for i := range entries {
		e := &entries[i]
		if ownOf(e).Floor == "call" && !ticked(entries, fmt.Sprint("call ", e.Seq)) {
			v.Calls = append(v.Calls, Call{e.Seq, e.Text, e.Who, e.At.UnixMilli()})
		}
	}
}

// take is a setting that was taken in place of the plan's.
type take struct {
	want string
	by   *Done
}

// takenOf gives the settings taken for the lights of a setup, the newest of each.
func takenOf(entries []daylog.Entry, setup string) map[string]take {
	out := map[string]take{}
	for i := range entries {
		e := &entries[i]
		if o := ownOf(e); o.Floor == "take" && e.Setup == setup {
			out[o.Light] = take{o.Want, &Done{e.Seq, e.Who, e.At.UnixMilli()}}
		}
	}
	return out
}

// staged builds the setup that is on without metering it.
func (w *worker) staged() *stage.Stage {
	s, _ := w.job.Stage(w.setup, figure.Shadow)
	return s
}

// dials lists the lights with what they are to be set to.
func (w *worker) dials(v *View, st *stage.Stage, entries []daylog.Entry, dials map[string]string,
	taken map[string]take) {
	for i := range st.Layers {
		l := &st.Layers[i]
		d := Dial{Light: l.Name, Role: l.Role, Colour: hexOf(st, l.Spectrum), For: []string{}, Fixed: l.Light < 0}
		if l.Light < 0 {
			d.Words, d.Want = "the house's", "as found"
			v.Dials = append(v.Dials, d)
			continue
		}
		x := &st.Setup.Lights[l.Light]
		d.Words = strings.Join(slices.DeleteFunc([]string{x.Head, x.Modifier, x.Grid, strings.Join(x.Gel, " + ")},
			func(s string) bool { return s == "" }), ", ")
		d.Want = planWords(st, l)
		if t, ok := taken[l.Name]; ok {
			d.Want, d.Taken = t.want, t.by
		}
		if was, ok := dials[l.Name]; ok && was != d.Want {
			d.Was = was
		}
		for k := range entries { // the newest time that it was set
			e := &entries[k]
			if e.Kind == daylog.Dial && e.Setup == st.Setup.Name && e.Subject == l.Name {
				d.Set = nil
				if e.Text == d.Want {
					d.Set = &Done{e.Seq, e.Who, e.At.UnixMilli()}
				}
			}
		}
		d.For = append(d.For, w.hands(st.Setup.Name, l.Name)...)
		v.Dials = append(v.Dials, d)
	}
}

// planWords is what a light is set to by the plan, in its own unit.
func planWords(st *stage.Stage, l *stage.Layer) string {
	if l.Source != nil && l.Source.Dialled != "" {
		return l.Source.Dialled
	}
	x := &st.Setup.Lights[l.Light]
	switch {
	case x.Power != "":
		return x.Power
	case x.Level != nil:
		return fmt.Sprintf("%.0f %%", 100*float64(*x.Level))
	}
	return "full"
}

// hands are who handles a light by the plan: of tasks of this setup that name it, else of those
// that prepare it.
func (w *worker) hands(setup, light string) []string {
	if w.plan == nil {
		return nil
	}
	var near, far []string
	for _, t := range w.plan.Tasks {
		switch {
		case t.Setup != setup || t.Picture:
		case names(t.Text, light):
			near = append(near, t.People...)
		case t.Action == "meter":
			far = append(far, t.People...)
		}
	}
	if len(near) == 0 {
		near = far
	}
	slices.Sort(near)
	return slices.Compact(near)
}

// names reports whether a text has a light's name as words of its own.
func names(text, light string) bool {
	at := strings.Index(strings.ToLower(text), strings.ToLower(light))
	for at >= 0 {
		end := at + len(light)
		word := func(i int) bool {
			return i >= 0 && i < len(text) && (text[i] >= 'a' && text[i] <= 'z' || text[i] >= 'A' && text[i] <= 'Z')
		}
		if !word(at-1) && !word(end) {
			return true
		}
		next := strings.Index(strings.ToLower(text[end:]), strings.ToLower(light))
		if next < 0 {
			return false
		}
		at = end + next
	}
	return false
}

// hexOf is a light's colour after the camera's white balance at one luminance, as chips are drawn.
func hexOf(st *stage.Stage, c spectrum.Curve) string {
	return colourOf(st, c.XY().XYZ(0.5))
}

func colourOf(st *stage.Stage, x spectrum.XYZ) string {
	white := st.White
	if !(white.Y > 0) || !(x.Y > 0) {
		return "#bdbdbd"
	}
	k := 0.5 / x.Y
	x.X, x.Y, x.Z = x.X*k, 0.5, x.Z*k
	m := spectrum.CAT16(white, spectrum.SRGB.XYZ([3]float64{1, 1, 1}))
	l := spectrum.SRGB.Linear(m.XYZ(x))
	// Out of the display's gamut: towards grey of the same luminance, not clipped.
	most, least := max(l[0], l[1], l[2]), min(l[0], l[1], l[2])
	f := 1.0
	if most > 1 {
		f = min(f, (1-0.5)/(most-0.5))
	}
	if least < 0 {
		f = min(f, 0.5/(0.5-least))
	}
	out := "#"
	for _, v := range l {
		out += fmt.Sprintf("%02x", int(math.Round(255*spectrum.Encode(min(1, max(0, 0.5+(v-0.5)*f))))))
	}
	return out
}

// points lists the places to read at.
func (w *worker) points(v *View, st *stage.Stage, entries []daylog.Entry, setup string, lastDial int64) {
	colours := map[string]string{}
	for i := range st.Layers {
		colours[st.Layers[i].Name] = hexOf(st, st.Layers[i].Spectrum)
	}
	doubts, moved := map[int64]string{}, map[int64]bool{}
	list, numbers := ownkit.Reads(entries)
	for i := range list {
		_, _, moved[numbers[i]], _ = w.floor.TraceOf(&list[i])
	}
	if w.last != nil {
		for _, d := range w.last.Doubts {
			t := fmt.Sprintf("does not fit the others (%+.1f st)", d.Off)
			if len(d.Causes) > 0 {
				t += ": " + d.Causes[0].Words + "?"
			}
			for i := range list {
				if list[i].Words == d.Words {
					doubts[numbers[i]] = strings.ReplaceAll(t, "-", "−")
				}
			}
		}
	}
	wished := map[string]string{}
	for i := range st.Setup.Look {
		l := &st.Setup.Look[i]
		if l.Reads != nil && wished[l.Point] == "" {
			wished[l.Point] = "wanted " + l.Reads.N.Meter()
		} else if l.Above != "" && l.By != 0 {
			wished[l.Point] = fmt.Sprintf("wanted %.1f over %s", float64(l.By), l.Above)
		} else if l.Below != "" && l.By != 0 {
			wished[l.Point] = fmt.Sprintf("wanted %.1f under %s", float64(l.By), l.Below)
		}
	}
	for i := range st.Points {
		p := Point{Name: st.Points[i].Name, Wish: wished[st.Points[i].Name], Lights: []Share{}, Readings: []Reading{}}
		if w.last != nil && w.balancedFor(setup) {
			for _, x := range w.last.Points {
				if x.Name != p.Name {
					continue
				}
				p.F, p.SD = rounded(float64(x.Now), 3), rounded(float64(x.SD), 2)
				for _, l := range x.Lights {
					if l.Share > 0.01 {
						p.Lights = append(p.Lights, Share{l.Name, rounded(l.Share, 3), colours[l.Name]})
					}
				}
			}
		}
		var fresh []daylog.Entry
		for k := len(entries) - 1; k >= 0; k-- {
			e := &entries[k]
			if e.Kind != daylog.Reading || e.Setup != setup || e.Subject != p.Name || e.Unit != "f" ||
				e.Value == nil {
				continue
			}
			old := e.Seq < lastDial || moved[e.Seq]
			if len(p.Readings) < 6 {
				p.Readings = append(p.Readings, Reading{Seq: e.Seq, F: rounded(*e.Value, 3),
					Alone: ownOf(e).Alone, Who: e.Who, At: e.At.UnixMilli(), Old: old,
					Doubt: doubts[e.Seq]})
			}
			if !old {
				fresh = append(fresh, *e)
			}
		}
		p.Differ = differ(fresh)
		v.Points = append(v.Points, p)
	}
	// Points that the look names first; the order is else that of the plan.
	slices.SortStableFunc(v.Points, func(a, b Point) int {
		rank := func(p Point) int {
			if p.Wish != "" {
				return 0
			}
			return 1
		}
		return rank(a) - rank(b)
	})
}

// differ reports whether two devices read one thing and not the same: a tenth of a stop is not
// the same, a meter shows it.
func differ(fresh []daylog.Entry) bool {
	for i := range fresh {
		for j := range fresh[:i] {
			a, b := &fresh[i], &fresh[j]
			if a.Client != b.Client && ownOf(a).Alone == ownOf(b).Alone &&
				math.Abs(2*math.Log2(*a.Value / *b.Value)) > 0.09 {
				return true
			}
		}
	}
	return false
}

func (w *worker) balancedFor(setup string) bool {
	return w.setup >= 0 && w.job.File.Setups[w.setup].Name == setup && strings.HasPrefix(w.balanced,
		fmt.Sprint(w.setup, " "))
}

// propose shows what to dial after the readings. While newer ones are worked in, the last proposal
// of the setup stays, marked as old, so that a phone does not blink at each reading.
func (w *worker) propose(v *View, st *stage.Stage, entries []daylog.Entry, taken map[string]take) {
	if w.lastErr != nil {
		v.Troubles = append(v.Troubles, "no settings can be found: "+w.lastErr.Error())
	}
	if w.shownOf != st.Setup.Name {
		w.shown, w.shownOf = nil, st.Setup.Name
	}
	r := w.last
	if _, _, key := w.basis(entries); key != w.balanced {
		if w.shown != nil {
			p := *w.shown
			p.Old = true
			v.Proposal = &p
		}
		return
	}
	if r == nil {
		return
	}
	p := &Proposal{Dials: []Redial{}, Then: []PointAfter{}, Short: append([]string{}, r.Misses...),
		Point: r.NextPoint, Alone: r.NextAlone}
	for i := range entries {
		if entries[i].Kind == daylog.Reading && entries[i].Setup == st.Setup.Name {
			p.From++
		}
	}
	if r.NextPoint != "" {
		p.Next = r.NextPoint
		if r.NextAlone != "" {
			p.Next += ", " + r.NextAlone + " alone"
		}
	}
	if p.From > 0 {
		for _, d := range r.Dials {
			if t, ok := taken[d.Light]; d.Changed && !(ok && t.want == d.Now) {
				p.Dials = append(p.Dials, Redial{d.Light, d.Was, d.Now, rounded(float64(d.Stops), 1)})
			}
		}
		off := map[string]answerWish{}
		for _, x := range r.Wishes {
			off[x.Point] = answerWish{x.Words, float64(x.OffThen)}
		}
		for _, x := range r.Points {
			if _, wished := off[x.Name]; wished || math.Abs(2*math.Log2(float64(x.After/x.Now))) > 0.05 && x.Now > 0 {
				p.Then = append(p.Then, PointAfter{x.Name, rounded(float64(x.Now), 3), rounded(float64(x.After),
					3), off[x.Name].words,
					rounded(off[x.Name].off, 1)})
			}
		}
	}
	if n := len(p.Dials); n == 1 {
		p.Cost = "one dial"
	} else {
		p.Cost = fmt.Sprint(n, " dials")
	}
	b, _ := json.Marshal(p)
	sum := sha256.Sum256(b)
	p.ID = hex.EncodeToString(sum[:8])
	v.Proposal, w.shown = p, p
}

type answerWish struct {
	words string
	off   float64
}

// changes lists what happened in a setup since settings were taken last.
func changes(entries []daylog.Entry, setup string) []Change {
	out := []Change{}
	for i := len(entries) - 1; i >= 0 && len(out) < 12; i-- {
		e := &entries[i]
		if e.Setup != setup {
			continue
		}
		text := ""
		switch o := ownOf(e); {
		case o.Floor == "take":
			return append(out, Change{e.Seq, "taken: " + e.Text, e.Who, e.At.UnixMilli()})
		case e.Kind == daylog.Dial:
			text = e.Subject + " set to " + e.Text
		case e.Kind == daylog.Reading && e.Value != nil && e.Unit == "f":
			text = e.Subject + " reads " + q.FNumber(*e.Value).Meter()
		case e.Kind == daylog.Note && o.Floor == "":
			text = e.Text
		case e.Kind == daylog.Frame:
			text = "frame " + e.Subject
		default:
			continue
		}
		out = append(out, Change{e.Seq, text, e.Who, e.At.UnixMilli()})
	}
	return out
}

// place draws the setup from above.
func (w *worker) place(st *stage.Stage, v *View) *Place {
	p := &Place{Outline: [][2]float64{}, Lights: []PlaceLight{}}
	corners, _ := stage.Outline(&w.job.File.Room)
	for _, c := range corners {
		p.Outline = append(p.Outline, [2]float64{c.X, c.Y})
	}
	if st.Sitter != nil {
		b := st.Sitter.Bounds()
		p.Sitter = &[2]float64{(b.Lo.X + b.Hi.X) / 2, (b.Lo.Y + b.Hi.Y) / 2}
	}
	if c := st.View; c != nil {
		p.Camera = &[2]float64{c.At.X, c.At.Y}
		p.Aim = &[2]float64{c.At.X + c.Axis.X, c.At.Y + c.Axis.Y}
	}
	for i := range st.Layers {
		l := &st.Layers[i]
		if l.Light < 0 || len(l.Bodies) == 0 {
			continue
		}
		b := l.Bodies[0]
		x := PlaceLight{Name: l.Name, At: [2]float64{b.At.X, b.At.Y}, Height: rounded(b.At.Z, 2),
			Width: rounded(max(0.15, b.Width), 2), Mine: []string{}}
		x.Aim = [2]float64{b.At.X + b.Frame.N.X, b.At.Y + b.Frame.N.Y}
		for _, d := range v.Dials {
			if d.Light == l.Name {
				x.Mine = append(x.Mine, d.For...)
			}
		}
		p.Lights = append(p.Lights, x)
	}
	return p
}
