package spectrum

import "math"

// hues names directions from white (D65) in u'v', degrees anticlockwise from +u, by where each
// ends: red about 5°, orange 30°, yellow 65°, green 130°, cyan 190°, blue 255°, violet 285°, pink
// 330° (judgement).
var hues = []struct {
	to   float64
	name string
}{{18, "red"}, {48, "orange"}, {90, "yellow"}, {165, "green"}, {222, "cyan"}, {272, "blue"}, {305, "violet"},
	{348, "pink"}, {360, "red"}}

// HueOf names a strong colour by its direction from white (D65) in u'v'.
func HueOf(c XY) string { return hues[hueAt(c)].name }

// HueTowards names the hue next to that of c, anticlockwise in u'v' where turn is over 0.
func HueTowards(c XY, turn float64) string {
	i, n := hueAt(c), len(hues)-1 // the last is red again
	step := 1
	if turn < 0 {
		step = n - 1
	}
	return hues[(i%n+step)%n].name
}

func hueAt(c XY) int {
	u, v := c.UVPrime()
	u0, v0 := DaylightXY(6504).UVPrime()
	angle := math.Mod(math.Atan2(v-v0, u-u0)*180/math.Pi+360, 360)
	for i, h := range hues {
		if angle < h.to {
			return i
		}
	}
	return 0
}
