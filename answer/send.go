package answer

import (
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/dmx"
	"halfstop/figure"
	"halfstop/kit"
	"halfstop/spectrum"
	"halfstop/stage"
)

// Dialled is one networked head of a setup, ready to be sent.
type Dialled struct {
	Light    string      `json:"light"`
	Head     string      `json:"head"`
	Universe uint16      `json:"universe"`
	Address  int         `json:"address"`
	Slots    []byte      `json:"slots"`
	Words    string      `json:"setting"` // as the sheet has it
	patch    dmx.Patch   // for the slots
	Setting  dmx.Setting `json:"-"`
}

// Sending is what goes to the networked heads of a setup, as `send --json` prints it.
type Sending struct {
	Version   int                            `json:"version"`
	Setup     string                         `json:"setup"`
	Heads     []Dialled                      `json:"heads"`
	Unpatched []string                       `json:"not_patched"` // continuous heads without a patch or channels
	Universes map[uint16]*[dmx.MaxSlots]byte `json:"-"`
	// Driven tells which slots belong to a head of ours, Still which of them have their resting
	// value and are never faded: strobe, haze, movement.
	Driven map[uint16]*[dmx.MaxSlots]bool `json:"-"`
	Still  map[uint16]*[dmx.MaxSlots]bool `json:"-"`
}

// Jump is the largest change of a driven slot from what the head's universe had, % of its range.
func (d *Dialled) Jump(was *[dmx.MaxSlots]byte) int {
	most := 0.0
	for i, still := range d.patch.Still() {
		if !still {
			most = max(most, math.Abs(float64(d.Slots[i])-float64(was[d.Address-1+i])))
		}
	}
	return int(math.Round(100 * most / 255))
}

// Send works out what the networked heads of a setup are to be given. Flash heads are not
// networked lights and are left out.
func (j *Job) Send(setup int) (*Sending, diag.List, error) {
	s, list := j.Stage(setup, figure.Shadow)
	if s == nil {
		return nil, list, nil
	}
	k := kit.Merge(kit.Catalogue(), j.File.Kit)
	out := &Sending{Version: 1, Setup: s.Setup.Name, Heads: []Dialled{}, Unpatched: []string{},
		Universes: map[uint16]*[dmx.MaxSlots]byte{}, Driven: map[uint16]*[dmx.MaxSlots]bool{},
		Still: map[uint16]*[dmx.MaxSlots]bool{}}
	var patches []dmx.Patch
	for n := range s.Layers {
		layer := &s.Layers[n]
		if layer.Light < 0 || layer.Source == nil || layer.Flash {
			continue
		}
		l := &s.Setup.Lights[layer.Light]
		h, ok := k.FindHead(l.Head)
		if !ok {
			continue
		}
		if l.Patch == nil || len(h.Channels) == 0 {
			out.Unpatched = append(out.Unpatched, layer.Name)
			continue
		}
		d, err := dialled(&h, layer, l.Off)
		if err != nil {
			return nil, list, err
		}
		d.patch.Universe, d.patch.Address = uint16(l.Patch.Universe), l.Patch.Address
		d.Universe, d.Address = d.patch.Universe, d.patch.Address
		patches = append(patches, d.patch)
		slots := out.Universes[d.Universe]
		if slots == nil {
			slots = &[dmx.MaxSlots]byte{}
			out.Universes[d.Universe], out.Driven[d.Universe] = slots, &[dmx.MaxSlots]bool{}
			out.Still[d.Universe] = &[dmx.MaxSlots]bool{}
		}
		if err := d.patch.Write(d.Setting, slots); err != nil {
			return nil, list, err
		}
		for i, still := range d.patch.Still() {
			out.Driven[d.Universe][d.Address-1+i], out.Still[d.Universe][d.Address-1+i] = true, still
		}
		d.Slots = append([]byte(nil), slots[d.Address-1:d.Address-1+d.patch.Width()]...)
		out.Heads = append(out.Heads, d)
	}
	if a, b := dmx.Overlap(patches); a != "" {
		return nil, list, fmt.Errorf("%s and %s listen to the same slots: give one of them another address", a, b)
	}
	return out, list, nil
}

// dialled turns one layer's setting into what the head's channels take.
func dialled(h *kit.Head, layer *stage.Layer, off bool) (Dialled, error) {
	src := layer.Source
	d := Dialled{Light: layer.Name, Head: h.Name, Words: src.Dialled}
	d.patch.Head = layer.Name
	for _, c := range h.Channels {
		d.patch.Channels = append(d.patch.Channels, dmx.Channel{Function: dmx.Function(strings.ToLower(c.Does)),
			Fine:  c.Fine,
			Curve: dmx.Curve(c.Curve), Rest: float64(c.Rest)})
	}
	d.Setting.Level = min(1, src.Setting.Times())
	if off {
		d.Setting.Level, d.Words = 0, "off"
	}
	has := func(f dmx.Function) bool {
		for _, c := range d.patch.Channels {
			if c.Function == f {
				return true
			}
		}
		return false
	}
	if h.Colour == nil {
		return d, nil
	}
	d.patch.CCTLow, d.patch.CCTHigh = float64(h.Colour.Bicolour[0]), float64(h.Colour.Bicolour[1])
	names := h.Colour.Primaries
	for _, e := range h.Colour.Emitters {
		names = append(names[:len(names):len(names)], e.Name)
	}
	if len(names) == 0 && d.patch.CCTHigh > 0 {
		names = []string{"warm white", "cool white"}
	}
	// Drives are of full at the setting; a head with a dimmer has the setting there.
	if len(src.Drives) == len(names) && len(names) > 0 {
		most := 0.0
		for _, v := range src.Drives {
			most = max(most, v)
		}
		for i, name := range names {
			f := functionOf(name)
			if !has(f) || most <= 0 {
				continue
			}
			if d.Setting.Drives == nil {
				d.Setting.Drives = map[dmx.Function]float64{}
			}
			d.Setting.Drives[f] = min(1, src.Drives[i]/most)
			if !off {
				d.Setting.Level = min(1, most)
			}
		}
	}
	if has(dmx.CCT) && d.patch.CCTHigh > 0 {
		if t, _, ok := spectrum.CCTOhno2013(layer.Spectrum.XY()); ok {
			d.Setting.CCT = min(d.patch.CCTHigh, max(d.patch.CCTLow, t))
		}
	}
	return d, nil
}

// functionOf is the channel of an emitter that a head names: 'led red' is driven by 'red', 'white
// led 5600' by 'white'.
func functionOf(primary string) dmx.Function {
	p := strings.ToLower(primary)
	for _, f := range []dmx.Function{dmx.WarmWhite, dmx.CoolWhite, dmx.Red, dmx.Green, dmx.Blue, dmx.Amber,
		dmx.White} {
		if strings.Contains(p, string(f)) {
			return f
		}
	}
	return dmx.Function(p)
}
