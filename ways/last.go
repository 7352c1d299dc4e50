package ways

import (
	"math"
	"slices"

	"halfstop/balance"
)

// behind is by how much the loss of a way that raises the sensitivity stands over the last one that
// does the same without; otherPicture is the loss from which on such a one is another picture, for
// which the sensitivity does not wait (judgement).
const (
	behind       = 0.01
	otherPicture = 1.0
)

// sensitivityLast puts each way that raises the sensitivity behind those that mend as much
// without it and are better than leaving the set as it is, where a light at full leaves its own
// point short: noise stays in the picture, while a key that stands nearer, a second head, a
// slower shutter or another face of the light cost minutes (common practice, no source). Two
// cases stay with their loss: a lamp that burns and is short of a flash, where sensitivity up and
// the flash down is what a crew does first (trade case 6), and a flash that is waited for (trade
// case 8).
func (f *finder) sensitivityLast(missed []int) {
	if !slices.ContainsFunc(missed, f.outOfPower) {
		return
	}
	now := f.now.Problem.Camera.ISO
	lifts := func(v *balance.Way) bool { return v.Solution.ISO > now }
	keep := math.Inf(1)
	for i := range f.all {
		if f.all[i].Candidate < 0 {
			keep = min(keep, f.all[i].Score)
		}
	}
	for i := range f.all {
		v := &f.all[i]
		if v.Candidate < 0 || !lifts(v) {
			continue
		}
		last := v.Score
		for k := range f.all {
			u := &f.all[k]
			blurs := u.Solution.Shutter > max(f.now.Problem.Camera.Shutter, 1.0/60)
			if u.Candidate < 0 || lifts(u) || blurs || len(u.Taken) > 0 || u.Score >= keep ||
				u.Look > v.Look+otherPicture || len(f.list[u.Candidate].giveUp) > 0 ||
				slices.ContainsFunc(missed, func(t int) bool {
					return v.Solution.Targets[t].Met && !u.Solution.Targets[t].Met
				}) {
				continue
			}
			last = max(last, u.Score+behind)
		}
		v.Score = last
	}
}

// outOfPower reports whether a missed target wants more of a light that is at full, and not for the
// pace of the pictures.
func (f *finder) outOfPower(t int) bool {
	target, o := &f.now.Problem.Targets[t], f.now.Solution.Targets[t]
	if o.Residual >= 0 || target.To >= 0 || target.Kind != balance.Reading && target.Kind != balance.Level {
		return false
	}
	return slices.ContainsFunc(f.now.causes(t), func(c Cause) bool {
		if c.Kind != AtFullOut || c.Light < 0 {
			return false
		}
		every := float64(f.now.Problem.Camera.Every)
		recycle := float64(f.now.Problem.Lights[c.Light].Recycle)
		return every <= 0 || recycle*f.now.Solution.Lights[c.Light].Level.Times() <= every
	})
}
