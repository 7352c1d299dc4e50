package answer

import (
	"context"
	"crypto/sha256"
	"encoding/binary"

	"halfstop/stage"
	"halfstop/trace"
)

// Exposures remembers what was traced, plane by plane, under the content of all that a plane depends on: the place and its materials, the
// haze, the camera, the size, the seed, and the one light's emitters. What a photographer changes is then traced again and nothing
// else: nothing for a power, a colour, a gel, a shutter, a sensitivity or a white balance; one plane for a light that moved.
// It is for one goroutine at a time.
type Exposures struct {
	Most   int64 // bytes of planes kept; the longest unused go first
	Traced int   // samples a pixel traced so far, over all planes
	planes map[trace.Key]*kept
	clock  int
}

type kept struct {
	plane *trace.Plane
	seen  *trace.Seen
	bytes int64
	used  int
}

// NewExposures returns an empty memory of so many bytes.
func NewExposures(most int64) *Exposures {
	return &Exposures{Most: most, planes: map[trace.Key]*kept{}}
}

// Film returns a film of a stage with what is known of it.
func (x *Exposures) Film(s *stage.Stage, w, h int, lens trace.Lens, seed uint64) *trace.Film {
	x.clock++
	common := sha256.New()
	for _, k := range [2]trace.Key{s.Scene.Key(), lens.Key()} {
		common.Write(k[:])
	}
	var b [24]byte
	binary.LittleEndian.PutUint64(b[0:], uint64(w))
	binary.LittleEndian.PutUint64(b[8:], uint64(h))
	binary.LittleEndian.PutUint64(b[16:], seed)
	common.Write(b[:])
	base := common.Sum(nil)
	pixels := int64(w) * int64(h)
	seen := x.at(trace.Key(base), trace.SeenBytes*pixels)
	var planes []*trace.Plane
	var fresh []*kept
	for l := range s.Layers {
		key := s.Scene.LayerKey(l)
		d := sha256.New()
		d.Write(base)
		d.Write(key[:])
		k := x.at(trace.Key(d.Sum(nil)), s.Scene.PlaneBytes()*pixels)
		fresh = append(fresh, k)
		planes = append(planes, k.plane)
	}
	f := trace.FilmOf(w, h, lens, planes, seen.seen)
	seen.seen = f.Seen
	for l, k := range fresh {
		k.plane = f.Planes[l]
	}
	x.forget()
	return f
}

func (x *Exposures) at(k trace.Key, bytes int64) *kept {
	p := x.planes[k]
	if p == nil {
		p = &kept{bytes: bytes}
		x.planes[k] = p
	}
	p.used = x.clock
	return p
}

// forget drops what was unused longest until the rest fits; what the last film needs stays.
func (x *Exposures) forget() {
	for {
		total := int64(0)
		var oldest trace.Key
		old := x.clock
		for k, p := range x.planes {
			total += p.bytes
			if p.used < old {
				oldest, old = k, p.used
			}
		}
		if total <= x.Most || old == x.clock {
			return
		}
		delete(x.planes, oldest)
	}
}

// Expose brings every plane of a film to the given samples, in passes of 1, 1, 2, 4, 8 …, those that have fewest first. pass is called after
// each whole pass and ends the work by returning false. It ends with trace.ErrStopped when ctx does; what was traced stays.
func (x *Exposures) Expose(ctx context.Context, s *stage.Stage, f *trace.Film, samples int, seed uint64, pass func() bool) error {
	for {
		least, next := samples, samples
		var behind []int
		for l, p := range f.Planes {
			switch n := p.Taken(); {
			case n < least:
				least, next, behind = n, min(next, least), []int{l}
			case n == least && n < samples:
				behind = append(behind, l)
			case n > least:
				next = min(next, n)
			}
		}
		if len(behind) == 0 {
			return nil
		}
		n := min(max(1, least), next-least)
		x.Traced += n * len(behind)
		which := behind
		if len(behind) == len(f.Planes) {
			which = nil
		}
		if err := s.Scene.Expose(ctx, f, n, seed, which, nil); err != nil {
			return err
		}
		if pass != nil && !pass() {
			return nil
		}
	}
}
