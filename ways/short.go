package ways

import (
	"fmt"
	"math"
	"strings"

	"halfstop/stage"
)

// shortOf returns why a point gets too little; lack is by how many stops.
func (b *Balanced) shortOf(p int, lack float64) (out []Cause) {
	tool := b.toolFor(p)
	top := b.strongest(p)
	if tool < 0 {
		if top >= 0 && b.Stage.Layers[top].Light < 0 && !b.Stage.Points[p].Sitter {
			ly := &b.Stage.Layers[top]
			words := fmt.Sprintf("%s is lit by %s, which cannot be turned up", b.pointName(p), ly.Name)
			if strings.EqualFold(ly.Name, b.pointName(p)) {
				words = ly.Name + " burns as it is and cannot be turned up"
			}
			return []Cause{{Kind: NoDimmer, Light: top, at: p, Words: words,
				Remedy: "a slower shutter, which is free for the flash; else sensitivity or aperture, with the " +
					"flash down"}}
		}
		if b.shaded(p) && top >= 0 {
			return []Cause{{Kind: Unlit, Light: top, at: p,
				Words: fmt.Sprintf("nothing fills %s, and what it gets comes from %s and the room", b.pointName(p),
					b.Stage.Layers[top].Name), Remedy: "a white beside it, or a fill"}}
		}
		if top >= 0 {
			if w := b.why(top, true); w != "" && b.Stage.Layers[top].Light >= 0 {
				return []Cause{{Kind: AtFullOut, Light: top,
					Words: b.Stage.Layers[top].Name + strings.TrimPrefix(w, " and"), Remedy: b.nearer(top, p, lack)}}
			}
			return []Cause{{Kind: Unlit, Light: top, at: p,
				Words: fmt.Sprintf("no light is meant for %s, and what it gets comes from %s", b.pointName(p),
					b.Stage.Layers[top].Name), Remedy: "it wants a light of its own"}}
		}
		return []Cause{{Kind: Unlit, Light: -1, at: p, Words: "no light reaches " + b.pointName(p)}}
	}
	d, _, share := b.part(tool, p)
	name := b.Stage.Layers[tool].Name
	if share < 0.3 || d < 0.1*share {
		out = append(out, Cause{Kind: WrongLight, Light: tool,
			Words: fmt.Sprintf("%s, meant for %s, gives it %.0f %% of its light%s", name, b.pointName(p), 100*share,
				pickText(d < 0.1*share, ", none of it straight", "")), Remedy: b.turnSaid(tool)})
	}
	if w := b.why(tool, true); w != "" {
		kind := AtFullOut
		if b.Problem.Lights[tool].Lock {
			kind = OtherLight
		}
		c := Cause{Kind: kind, Light: tool, Words: name + strings.TrimPrefix(w, " and")}
		if b.atFull(tool) {
			c.Remedy = b.nearer(tool, p, lack)
		}
		out = append(out, c)
	}
	return out
}

// turnSaid is what mends a light that misses its own point: less feather where it is feathered on
// purpose, else its aim.
func (b *Balanced) turnSaid(l int) string {
	if i := b.Stage.Layers[l].Light; i >= 0 && b.Stage.Setup.Lights[i].Feather != 0 {
		return fmt.Sprintf("feather it less than %.0f°, or move it", math.Abs(float64(b.Stage.Setup.Lights[i].Feather)))
	}
	return "aim it there, or move it"
}

// nearest is how near a head still stands to the sitter (common practice, no source).
const nearest = 0.6

// nearer says how far in a light at full would have to come for what a point lacks, by the inverse
// square law of what it gives straight; empty where distance does little.
func (b *Balanced) nearer(l, p int, lack float64) string {
	bodies := b.Stage.Layers[l].Bodies
	direct, _, share := b.part(l, p)
	if len(bodies) == 0 || lack < 0.1 || direct < 0.5*share || b.Stage.Layers[l].Light < 0 {
		return ""
	}
	// The point lacks the factor 2^lack; what does not come straight from this light stays.
	grow := (math.Exp2(lack) - 1 + direct) / direct
	d := b.Stage.Points[p].At.Sub(bodies[0].At).Len()
	to := d / math.Sqrt(grow)
	if to < nearest {
		return fmt.Sprintf("a stronger head, or less of the other lights (%.1f st more is beyond it even from %.1f m; "+
			"it stands at %.1f m)", lack, nearest, d)
	}
	return fmt.Sprintf("bring it to %.1f m from %.1f m for %.1f st more, or a stronger head", to, d, lack)
}

// toolFor returns the light whose role is to light a point, −1 for none.
func (b *Balanced) toolFor(p int) int {
	name := strings.ToLower(b.pointName(p))
	var roles []string
	switch {
	case !b.Stage.Points[p].Sitter:
		roles = []string{"background", "accent"}
	case strings.Contains(name, "hair") || strings.Contains(name, "edge"):
		roles = []string{"hair", "edge", "rim", "kicker", "accent"}
	case b.shaded(p):
		roles = []string{"fill"}
	default:
		roles = []string{"key"}
	}
	for _, r := range roles {
		for l := range b.Stage.Layers {
			ly := &b.Stage.Layers[l]
			if ly.Light >= 0 && (strings.EqualFold(ly.Role, r) || strings.EqualFold(ly.Name,
				r)) && !b.Problem.Lights[l].Off {
				return l
			}
		}
	}
	return -1
}

// offSaid is how a light is kept off a point that it lights so much straight and so much by way of
// the room.
func (b *Balanced) offSaid(direct, bounced float64) string {
	if direct < bounced {
		return "black beside that point, or the light further from pale walls"
	}
	return "a flag or a grid on it, or move it round"
}

// ambient returns why too much or too little of the light at a point is not flash.
func (b *Balanced) ambient(p int, high bool) (out []Cause) {
	first, most, sum := -1, 0.0, 0.0
	var names []string
	var lights []int
	for l := range b.Stage.Layers {
		ly := &b.Stage.Layers[l]
		if _, _, s := b.part(l, p); !ly.Flash && s > 0.01 {
			if sum += s; s > most {
				first, most = l, s
			}
			names, lights = append(names, ly.Name), append(lights, l)
		}
	}
	if first < 0 {
		return []Cause{{Kind: Unlit, Light: -1, at: p, Words: "nothing but flash reaches " + b.pointName(p),
			Remedy: "a lamp of the place on, or a window open"}}
	}
	if n := len(names); n > 3 {
		names = append(names[:2], fmt.Sprintf("%d more", n-2))
	}
	verb := makes(names[0])
	if len(names) > 1 {
		verb = list(names) + " make"
	}
	c := Cause{Kind: NoDimmer, Light: first, Words: fmt.Sprintf("%s %.0f %% of the light on %s", verb, 100*sum,
		b.pointName(p))}
	can, down, dimmers := b.handled(lights...)
	switch {
	case !high:
		c.Remedy = "a slower shutter, which is free for the flash; else sensitivity up and the flash down"
		if dimmers {
			c.Remedy = "the dimmer up, " + c.Remedy
		}
	case b.Stage.Layers[first].Kind == stage.Practical:
		c.Words += " and " + can
		c.Remedy = down
	default:
		c.Remedy = "a faster shutter, more flash and a smaller aperture, or a blind"
	}
	return []Cause{c}
}

// makes is a light's name and the verb that goes with it: 'key makes', 'ceiling panels make'.
func makes(name string) string {
	many := strings.HasSuffix(name, "s") && !strings.HasSuffix(name, "ss")
	return name + pickText(many, " make", " makes")
}
