package ways

import (
	"slices"

	"halfstop/balance"
)

// tied is by how much the scores of two ways of one kind differ at most where what a crew does
// first decides (judgement).
const tied = 0.1

// quicker reports whether a stands before b though its score is a little higher, and no missed
// target is a tenth of a stop better with b: it is of the same kind and takes less time, or it is a
// shorter shutter, which takes nothing from the flash, beside a dial for which the flash must give
// more (common practice, no source).
func (f *finder) quicker(a, b *balance.Way, missed []int) bool {
	free := a.Kind == "shutter" && a.Solution.Shutter < f.now.Problem.Camera.Shutter &&
		(b.Kind == "sensitivity" || b.Kind == "aperture")
	return a.Candidate >= 0 && b.Candidate >= 0 && (free || a.Kind == b.Kind && a.Minutes < b.Minutes) &&
		a.Score-b.Score < tied && !slices.ContainsFunc(missed, func(t int) bool {
		return a.Solution.Targets[t].Miss-b.Solution.Targets[t].Miss >= 0.1
	})
}

// Of a way that leaves most of what is missed, mostLeft is the part from which on it does, and
// littleTime and muchTime are minutes: what takes little is tried first all the same where what
// closes the gap takes much (judgement).
const (
	mostLeft   = 0.5
	littleTime = 1.0
	muchTime   = 5.0
)

// closersFirst puts a way that closes a gap before one that leaves most of it: nobody moves a lamp
// for one stop of four where a head that is at hand brings all four. What takes next to no time is
// tried first where the other takes much.
func (f *finder) closersFirst(ranked []balance.Way, missed []int) {
	for i := range ranked {
		for k := i; k > 0 && f.closes(&ranked[k], &ranked[k-1], missed); k-- {
			ranked[k], ranked[k-1] = ranked[k-1], ranked[k]
		}
	}
}

// closes reports whether b meets a missed target of which a leaves most, and loses nothing beside:
// no other target is a tenth of a stop worse with it, and no kit is wanted that is not free.
func (f *finder) closes(b, a *balance.Way, missed []int) bool {
	if b.Candidate < 0 || a.Candidate < 0 || len(b.Taken) > 0 {
		return false
	}
	if a.Minutes <= littleTime && b.Minutes >= a.Minutes+muchTime {
		return false
	}
	for t := range b.Solution.Targets {
		if b.Solution.Targets[t].Miss-a.Solution.Targets[t].Miss >= 0.1 {
			return false
		}
	}
	return slices.ContainsFunc(missed, func(t int) bool {
		was, left := f.now.Solution.Targets[t].Miss, a.Solution.Targets[t].Miss
		return b.Solution.Targets[t].Met && float64(left) > mostLeft*float64(was)
	})
}
