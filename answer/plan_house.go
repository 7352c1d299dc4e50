package answer

import (
	"fmt"
	"strings"

	"halfstop/shoot"
)

// practicalWords says what a light of the place is and what may be done to it, and what it is set
// to in this setup: a share on its dimmer, else as found.
func (j *Job) practicalWords(set *shoot.Setup, name string) (words, dial string) {
	p := j.practical(name)
	if p == nil {
		return "practical", "as found"
	}
	words, dial = orDefault(p.Kind, "practical")+", belongs to the house", "as found"
	for n, share := range set.Dim {
		if strings.EqualFold(strings.TrimPrefix(n, "practicals."), name) {
			dial = fmt.Sprintf("%.0f %%", 100*float64(share))
			words += ", on its dimmer"
		}
	}
	if p.Control == "fixed" {
		words += ", may not be switched off"
	}
	return words + asked(p), dial
}

// asked says who must be asked about a light of the place; empty where the file does not.
func asked(p *shoot.Practical) string {
	if p.Whose == "" {
		return ""
	}
	return ": ask " + p.Whose
}

// offWords lists the lights of the place that a setup has off, with who has the switch.
func (j *Job) offWords(set *shoot.Setup) string {
	var off []string
	for _, n := range set.Off {
		if p := j.practical(strings.TrimPrefix(n, "practicals.")); p != nil {
			off = append(off, p.Name+asked(p))
		}
	}
	if len(off) == 0 {
		return ""
	}
	return "Switched off: " + strings.Join(off, "; ") + "."
}

func (j *Job) practical(name string) *shoot.Practical {
	for i := range j.File.Room.Practicals {
		if p := &j.File.Room.Practicals[i]; strings.EqualFold(p.Name, name) {
			return p
		}
	}
	return nil
}
