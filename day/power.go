package day

import (
	"strings"

	"halfstop/kit"
	"halfstop/shoot"
)

// CircuitLoad is what one light draws from a circuit.
type CircuitLoad struct {
	Setup, Light, Head string
	Circuit            string  // empty: a head for the mains, and the shoot says no outlet
	Watts              float64 // as rated; a flash head's while it recycles
	Note               string
}

// CircuitLoads lists the lights that run on the mains, setup by setup.
func CircuitLoads(f *shoot.File) []CircuitLoad {
	k := kit.Merge(kit.Catalogue(), f.Kit)
	var out []CircuitLoad
	for i := range f.Setups {
		for j := range f.Setups[i].Lights {
			l := &f.Setups[i].Lights[j]
			h, ok := k.FindHead(l.Head)
			if l.Outlet == "" && h.Feed != "mains" || l.Off || !ok {
				continue
			}
			c := CircuitLoad{Setup: f.Setups[i].Name, Light: called(l.Name, l.Role), Head: h.Name,
				Circuit: l.Outlet, Watts: float64(h.Watts)}
			if h.Kind == "flash" {
				c.Note = "while it recycles; in short peaks more"
			}
			if h.Watts <= 0 {
				c.Note = "draw not known: read its plate"
			}
			out = append(out, c)
		}
		if t, ok := k.FindThing("hazer"); ok && f.Setups[i].Haze != nil && t.Watts > 0 {
			out = append(out, CircuitLoad{Setup: f.Setups[i].Name, Light: "haze", Head: t.Name,
				Watts: float64(t.Watts), Note: "while it heats"})
		}
	}
	return out
}

// Unsaid gives the setup that draws most from the mains without the shoot saying from which outlet,
// how much, watts, and by how many things; 0 things: none does.
func Unsaid(f *shoot.File) (setup string, watts float64, things int) {
	for i := range f.Setups {
		w, n := 0.0, 0
		for _, l := range CircuitLoads(f) {
			if l.Setup == f.Setups[i].Name && l.Circuit == "" {
				w, n = w+l.Watts, n+1
			}
		}
		if n > 0 && (w > watts || things == 0) {
			setup, watts, things = f.Setups[i].Name, w, n
		}
	}
	return setup, watts, things
}

// CircuitPeak is the most that a circuit carries in any setup, with what else is on it.
type CircuitPeak struct {
	Circuit, Setup string
	Watts          float64
	Most           float64 // volts times amperes; 0: not known
}

// CircuitPeaks gives the peak of each circuit of the room.
func CircuitPeaks(f *shoot.File) []CircuitPeak {
	loads := CircuitLoads(f)
	var out []CircuitPeak
	for _, c := range f.Room.Circuits {
		p := CircuitPeak{Circuit: c.Name, Most: float64(c.Volts) * float64(c.Amps)}
		for i := range f.Setups {
			w := 0.0
			for _, l := range loads {
				if l.Setup == f.Setups[i].Name && strings.EqualFold(l.Circuit, c.Name) {
					w += l.Watts
				}
			}
			if w > 0 && w+float64(c.Load) > p.Watts {
				p.Watts, p.Setup = w+float64(c.Load), f.Setups[i].Name
			}
		}
		out = append(out, p)
	}
	return out
}
