package meter

import (
	"slices"

	"halfstop/trace"
)

// Corrected gives measured light with each layer's straight light multiplied by direct and what
// comes by way of surfaces by bounced, by layer: as readings have it of a head, and of a room.
// Noise of the computation is scaled with the straight part.
func (m *Measured) Corrected(direct, bounced []float64) *Measured {
	out := *m
	each := func(list []*trace.Transport) []*trace.Transport {
		to := make([]*trace.Transport, len(list))
		for i, t := range list {
			if t != nil {
				to[i] = scaled(t, direct, bounced)
			}
		}
		return to
	}
	out.Incident, out.Seen = each(m.Incident), each(m.Seen)
	return &out
}

func scaled(t *trace.Transport, direct, bounced []float64) *trace.Transport {
	c := *t
	by := func(list []trace.Band, k []float64) []trace.Band {
		list = slices.Clone(list)
		for l := range list {
			for b := range list[l] {
				list[l][b] *= float32(k[l])
			}
		}
		return list
	}
	c.Direct, c.Bounced = by(t.Direct, direct), by(t.Bounced, bounced)
	if t.Airlight != nil {
		c.Airlight = by(t.Airlight, direct)
	}
	each := func(parts, directParts *[trace.Reps][]trace.Band) (whole, straight [trace.Reps][]trace.Band) {
		for r := range parts {
			straight[r] = by(directParts[r], direct)
			whole[r] = by(parts[r], bounced)
			for l := range whole[r] {
				for b := range whole[r][l] { // the whole: what bounced, and the straight part anew
					whole[r][l][b] += directParts[r][l][b] * float32(direct[l]-bounced[l])
				}
			}
		}
		return whole, straight
	}
	c.Parts, c.DirectParts = each(&t.Parts, &t.DirectParts)
	if t.Before != nil {
		was := *t.Before
		was.Parts, was.DirectParts = each(&was.Parts, &was.DirectParts)
		c.Before = &was
	}
	return &c
}
