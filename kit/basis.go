package kit

import "fmt"

// Basis is what a level rests on: the generic catalogue, figures of a maker that were typed in, or
// readings.
type Basis struct {
	Maker    bool // a head of the own kit that says its level itself
	Readings int  // how many had a say; they count for more than figures
	Other    string
}

// String says it in words: 'catalogue', "maker's figures", 'learned from 3 readings', or what Other
// says.
func (b Basis) String() string {
	switch {
	case b.Readings == 1:
		return "learned from 1 reading"
	case b.Readings > 1:
		return fmt.Sprintf("learned from %d readings", b.Readings)
	case b.Other != "":
		return b.Other
	case b.Maker:
		return "maker's figures"
	}
	return "catalogue"
}

// Short is String for a narrow column.
func (b Basis) Short() string {
	switch {
	case b.Readings > 0:
		return fmt.Sprintf("learned, %d", b.Readings)
	case b.Other != "":
		return b.Other
	case b.Maker:
		return "maker"
	}
	return "catalogue"
}

// makerSD is how surely a head gives what its maker's sheet says of it with the modifier named
// there, one standard deviation in stops (common practice, no source).
const makerSD = 0.25

// stateOwn notes which heads of own say their level themselves, and how sure that is where they do
// not say it.
func (k *Kit) stateOwn(base, own Kit) {
	k.stated = map[string]bool{}
	for name := range base.stated {
		k.stated[name] = true
	}
	for name := range own.stated {
		k.stated[name] = true
	}
	for _, o := range own.Heads {
		if o.level() == "" || o.Energy != 0 && o.level() == "energy" && o.Efficacy == 0 {
			continue // energy alone says nothing of its light
		}
		k.stated[key(o.Name)] = true
		for i := range k.Heads {
			h := &k.Heads[i]
			if key(h.Name) != key(o.Name) {
				continue
			}
			if o.Uncertainty == 0 {
				h.Uncertainty = makerSD
			}
			if o.Source == "" {
				h.Source = "maker's figures, typed in"
			}
		}
	}
}
