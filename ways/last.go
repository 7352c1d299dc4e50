package ways

import (
	"math"
	"slices"

	"halfstop/balance"
)

// behind is by how much the loss of a way stands over the last one that does the same and is done
// first; otherPicture is the loss from which on such a one is another picture, for which it does
// not wait (judgement).
const (
	behind       = 0.01
	otherPicture = 1.0
)

// cameraLast puts what takes from the picture to spare the light behind what gives light, where a
// light at full leaves its own point short (common practice, no source). First comes what mends it
// with the light: the key nearer, heads traded, the flash whole with high speed sync off, a slower
// shutter without blur. Then a wider aperture, unless the file frees it: depth is the
// photographer's. Last a higher sensitivity, also behind a second head: noise stays in the picture,
// a stand costs minutes. Two cases stay with their loss: a lamp that burns and is short of a flash,
// where sensitivity up and the flash down is what a crew does first (trade case 6), and a flash
// that is waited for (trade case 8).
func (f *finder) cameraLast(missed []int) {
	if slices.ContainsFunc(missed, f.outOfSteps) {
		// A light at its lowest goes back, or gets neutral density or a cloth, before the whole
		// exposure moves for it (trade case 12).
		f.putBehind(missed, func(v *balance.Way) bool {
			return slices.Contains([]balance.WayKind{"aperture", "sensitivity", "lens filter"}, v.Kind)
		}, func(u *balance.Way) bool {
			return slices.Contains([]balance.WayKind{"place", "density", "cloth"}, u.Kind)
		})
	}
	if !slices.ContainsFunc(missed, f.outOfPower) {
		return
	}
	camera := f.now.Problem.Camera
	lifts := func(v *balance.Way) bool { return v.Solution.ISO > camera.ISO }
	opens := func(v *balance.Way) bool { return v.Solution.Aperture < camera.Aperture }
	if len(camera.Apertures) < 2 {
		f.putBehind(missed, func(v *balance.Way) bool { return opens(v) && !lifts(v) },
			func(u *balance.Way) bool {
				return !lifts(u) && !opens(u) && slices.Contains([]balance.WayKind{"place", "shutter", "trade"}, u.Kind)
			})
	}
	f.putBehind(missed, lifts, func(u *balance.Way) bool { return !lifts(u) })
}

// putBehind puts each way that is late behind those that are early, mend as much and are better
// than leaving the set as it is.
func (f *finder) putBehind(missed []int, late, early func(*balance.Way) bool) {
	keep := math.Inf(1)
	for i := range f.all {
		if f.all[i].Candidate < 0 {
			keep = min(keep, f.all[i].Score)
		}
	}
	for i := range f.all {
		v := &f.all[i]
		if v.Candidate < 0 || !late(v) {
			continue
		}
		last := v.Score
		for k := range f.all {
			u := &f.all[k]
			blurs := u.Solution.Shutter > max(f.now.Problem.Camera.Shutter, 1.0/60)
			if u.Candidate < 0 || !early(u) || blurs || len(u.Taken) > 0 || u.Score >= keep ||
				u.Look > v.Look+otherPicture ||
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

// outOfSteps reports whether a missed target wants less of a light that is at its lowest.
func (f *finder) outOfSteps(t int) bool {
	return slices.ContainsFunc(f.now.causes(t), func(c Cause) bool { return c.Kind == AtLeastOut })
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
