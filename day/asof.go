package day

// Seen is what has happened of a task, seconds after midnight; 0: not yet.
type Seen struct{ Begun, Done int }

// AsOf gives a planned day as it goes at now, in the order and by the people of the plan: what is
// over and what is under way have the times that they had, what has not begun begins no earlier
// than now. Times of the rest are the earliest that follow; Simulate takes such a day as any other.
func (p *Plan) AsOf(d *Day, now int, seen map[string]Seen) *Day {
	e := *d
	e.Tasks = append([]Placed{}, d.Tasks...)
	e.End = 0
	for i := range e.Tasks {
		t := &e.Tasks[i]
		s := seen[t.ID]
		t.Exactly, t.Begun, t.Over = false, s.Begun > 0 || s.Done > 0, s.Done > 0
		switch {
		case s.Done > 0:
			if s.Begun <= 0 || s.Begun > s.Done {
				s.Begun = min(s.Done, max(t.Start, s.Done-t.Dur.Mean()))
			}
			t.After, t.NotBefore = nil, s.Begun
			t.Dur = Fixed(float64(s.Done-s.Begun) / 60)
		case s.Begun > 0:
			t.After, t.NotBefore = nil, s.Begun
			over := float64(max(0, now-s.Begun)) / 60
			t.Dur = Duration{max(t.Dur.Low, over), max(t.Dur.Likely, over), max(t.Dur.High, over)}
		default:
			t.NotBefore = max(t.NotBefore, now)
		}
		t.Start = max(p.Begin, t.NotBefore)
		if t.Begun {
			t.Start = t.NotBefore
		}
		for _, l := range t.After {
			t.Start = max(t.Start, e.Tasks[l.Task].End+l.Lag)
		}
		t.End = t.Start + t.Dur.Mean()
		e.End = max(e.End, t.End)
	}
	p.slack(&e)
	return &e
}

// Spare is how late all that is still to come may be, seconds, before a picture misses its light or
// the sitter's leaving, or the place is not empty in time; under 0: something misses it already.
// false where the day has no such limits.
func (p *Plan) Spare(d *Day) (seconds int, ok bool) {
	least := 1 << 40
	take := func(s int) { least, ok = min(least, s), true }
	for i := range d.Tasks {
		t := &d.Tasks[i]
		if t.Over || t.Setup < 0 || t.ID != p.Setups[t.Setup].Shoot.ID {
			continue
		}
		if w := p.Setups[t.Setup].Latest; w > 0 && !t.Begun {
			take(w - t.Start)
		}
		if p.Leave > 0 {
			take(p.Leave - t.End)
		}
	}
	if p.Out > 0 {
		take(p.Out - d.End)
	}
	return least, ok
}
