package balance

import (
	"math"

	q "halfstop/quantity"
)

// ownPreferences are further cases, of other rooms and kits (common practice, no source).
func ownPreferences() []preference {
	var out []preference
	add := func(p preference) { out = append(out, p) }
	up := func(g int, by float64, words string) plan {
		return plan{words: words, set: func(c *choice) { c.by(g, by) }}
	}

	corridor := Problem{Points: points("face", "far wall"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", tenths, f4*st(3), f4*st(3)*st(-2)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), Brightest(1, -3.5)}}
	add(preference{name: "21 corridor: the key spills on the white end wall", p: corridor,
		first: []plan{{words: "a grid on the key", minutes: 0.75, solve: true,
			stand: func(p *Problem) { brings(p, 0, 1, st(-1.6)); brings(p, 0, 0, st(-0.5)) }}},
		then: []plan{{words: "sitter and lights 0.6 m forward", minutes: 5, solve: true,
			stand: func(p *Problem) { brings(p, 0, 1, st(-1)) }}},
		never: []plan{up(0, -1.5, "key down for the wall")}})

	bar := Problem{Points: points("face", "shade"), Camera: faceCamera(4, 1./60),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3), burns("lamp", Scale{}, 0, 4*f4*60*6)}}
	bar.Targets = []Target{must(LevelAt(0, -0.1)),
		known(LevelAt(1, q.Stops(math.Log2(0.65*4*f4*6*.18/math.Pi*10/16)-1)), 0.2)}
	add(preference{name: "22 bar: a shade a stop too bright, no dimmer", p: bar,
		first: []plan{{words: "1/125", set: func(c *choice) { c.time(-1) }}},
		then: []plan{{words: "ND sleeve in the shade", minutes: 3,
			stand: func(p *Problem) { everywhere(p, 1, 0.5) }},
			{words: "stop down, flash up", set: func(c *choice) { c.open(-1); c.by(0, 1) }}},
		never: []plan{{words: "stop down and let the face go", set: func(c *choice) { c.open(-1) }}}})

	white := Problem{Points: points("face", "ground"), Camera: faceCamera(8, 1./125),
		Lights: []Light{at(flashes("key", tenths, 4*f4*st(3), 0), -3),
			at(flashes("ground", tenths, 0, 4*f4*st(2)*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 8)), ReadsAbove(1, 0, 0.7)}}
	add(preference{name: "23 white studio: ground two stops over the key", p: white,
		first: []plan{up(1, -1.3, "ground lights down")},
		then:  []plan{{words: "ground lights back", minutes: 3, stand: func(p *Problem) { brings(p, 1, 1, st(-1.3)) }}},
		never: []plan{{words: "key up, stop down", set: func(c *choice) { c.by(0, 1.3); c.open(-1.3) },
			minutes: 1}, leave}})

	day := Problem{Points: points("face", "view"), Camera: faceCamera(5.6, 1./200),
		Lights: []Light{at(flashes("key", tenths, 2*f4*st(3), 0), -3), burns("window", Scale{}, 0, 40000)}}
	day.Targets = []Target{must(LevelAt(0, -0.1)), LevelAt(1, q.Stops(math.Log2(0.65*40000*.18/math.Pi/200*10/31.4)-1))}
	add(preference{name: "24 window by day, at the sync speed already", p: day,
		first: []plan{{words: "stop down, flash up", set: func(c *choice) { c.open(-1); c.by(0, 1) }}},
		then:  []plan{{words: "ND on the pane", minutes: 6, stand: func(p *Problem) { everywhere(p, 1, 0.5) }}},
		never: []plan{{words: "ISO up, flash down", set: func(c *choice) { c.iso(1); c.by(0, -1) }}, leave}})

	street := Problem{Points: points("face", "street"), Camera: Camera{Aperture: 2.8, Shutter: 1. / 125, ISO: 800,
		Sync: 1. / 200}, Lights: []Light{at(flashes("key", tenths, f4/2/8*st(3), 0), -3),
		burns("lamps", Scale{}, 0, 30)}}
	street.Targets = []Target{must(LevelAt(0, -0.1)), LevelAt(1, q.Stops(math.Log2(0.65*30*.18/math.Pi/125*80/7.84)+1))}
	add(preference{name: "25 night street: the lamps a stop low", p: street,
		first: []plan{{words: "1/60", set: func(c *choice) { c.time(1) }}},
		then: []plan{{words: "ISO 1600, flash down", set: func(c *choice) { c.iso(1); c.by(0, -1) }},
			{words: "f/2, flash down", set: func(c *choice) { c.open(1); c.by(0, -1) }}},
		never: []plan{{words: "1/8 by hand", set: func(c *choice) { c.time(4) }}, up(0, 1, "more flash")}})

	office := Problem{Points: points("face"), Camera: faceCamera(4, 1./60),
		Lights:  []Light{at(flashes("key", tenths, f4*0.6*st(3)), -3), burns("ceiling", Scale{}, f4*60*0.4)},
		Targets: []Target{must(ReadsAt(0, 4)), AmbientShare(0, 0, 0.1)}}
	add(preference{name: "26 office: the ceiling gives 40 % of the face", p: office,
		first: []plan{{words: "ceiling off, key up", minutes: 2, solve: true,
			stand: func(p *Problem) { p.Lights[1].Off = true }}},
		then:  []plan{{words: "1/200, key up", set: func(c *choice) { c.time(-1.74); c.by(0, 0.5) }}},
		never: []plan{leave, up(0, -0.5, "key down")}})

	full := func(short, sigma float64) Problem {
		return Problem{Points: points("face"), Camera: faceCamera(8, 1./125),
			Lights:  []Light{at(flashes("key", tenths, 4*f4*st(-short)), 0)},
			Targets: []Target{known(must(ReadsAt(0, 8)), sigma)}}
	}
	add(preference{name: "27 at full and a third short, never metered", p: full(0.33, 0.5), first: []plan{leave},
		leaves: true,
		never:  []plan{{words: "a second head", minutes: 5, stand: func(p *Problem) { everywhere(p, 0, 1.26) }}}})
	// Which of these comes first is not of the objective: ways puts sensitivity last
	// (TestCameraLast).
	add(preference{name: "28 at full and a stop short", p: full(1, 0.5),
		first: []plan{{words: "ISO 200", set: func(c *choice) { c.iso(1) }},
			{words: "a second head", minutes: 5, stand: func(p *Problem) { everywhere(p, 0, 2) }}},
		never: []plan{leave}})

	rim := func(now, sigma float64) Problem {
		return Problem{Points: points("face", "hair"), Camera: faceCamera(4, 1./125),
			Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3),
				at(flashes("rim", tenths, 0, f4*st(3+now)), -3)},
			Targets: []Target{known(must(ReadsAt(0, 4)), sigma), known(ReadsAbove(1, 0, 1), sigma)}}
	}
	add(preference{name: "29 hair a fifth off, never metered", p: rim(0.8, 0.6), first: []plan{leave}, leaves: true,
		never: []plan{up(1, 0.2, "rim up a fifth"), {words: "ISO", set: func(c *choice) { c.iso(0.33) }}}})
	add(preference{name: "30 hair 0.7 short, metered", p: rim(0.3, 0.1), first: []plan{up(1, 0.7, "rim up")},
		never: []plan{{words: "ISO up and the key down", set: func(c *choice) { c.iso(0.7); c.by(0, -0.7) }}}})

	fill := Problem{Points: points("face", "shadow"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*0.6*st(3), 0), -3),
			at(flashes("fill", tenths, f4*0.4*st(3), f4*0.4*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(0, 1, 2)}}
	add(preference{name: "31 ratio 2.5:1 where 4:1 is wanted, with a fill", p: fill,
		first: []plan{{words: "fill down, key up", set: func(c *choice) { c.by(1, -0.7); c.by(0, 0.3) }}},
		then:  []plan{{words: "fill down alone", set: func(c *choice) { c.by(1, -0.7) }}},
		never: []plan{leave}})

	bald := Problem{Points: points("face", "head"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3),
			at(flashes("rim", tenths, 0, f4*st(3)*st(0.5)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(1, 0, -1.5)}}
	add(preference{name: "32 a bald head: the hair light two stops down", p: bald,
		first: []plan{up(1, -2, "rim down two")}, then: []plan{up(1, -1, "rim down one")}, never: []plan{leave}})

	strict := Problem{Points: points("face", "hair"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", tenths, f4*st(3)*st(-0.3), f4*st(3)*st(1)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAt(1, 4)}}
	strict.Targets[0].Strict = true
	add(preference{name: "33 a strict must against a want on one light", p: strict,
		first: []plan{up(0, 0.3, "the must exactly")}, then: []plan{leave}, never: []plan{up(0, -0.7, "the want")}})

	small := func(short float64) Problem {
		return Problem{Points: points("face", "book"), Camera: faceCamera(4, 1./125),
			Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3),
				at(burns("lamp", Scale{}, 0, f4*125*st(-2-short)), 0)},
			Targets: []Target{must(ReadsAt(0, 4)), nice(ReadsAbove(1, 0, -2))}}
	}
	add(preference{name: "34 a nice half a stop off", p: small(0.5), first: []plan{leave},
		never: []plan{{words: "ISO up, flash down", set: func(c *choice) { c.iso(0.5); c.by(0, -0.5) }}}})

	lift := Problem{Points: points("face", "book"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3),
			at(burns("lamp", Scale{Min: -5, Max: 0, Step: 0.1}, 0, f4*125*st(-1)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), nice(ReadsAbove(1, 0, -2))}}
	add(preference{name: "35 a nice two stops off, with a dimmer", p: lift, first: []plan{up(1, 2, "the dimmer up")},
		never: []plan{{words: "ISO up two, flash down", set: func(c *choice) { c.iso(2); c.by(0, -2) }}}})

	quick := full(0, 0.1)
	quick.Lights[0].Recycle, quick.Camera.Every = 1.2, 1
	add(preference{name: "36 a frame each second, 1.2 s to ready", p: quick,
		first: []plan{{words: "ISO 160", set: func(c *choice) { c.iso(0.66); c.by(0, -0.7) }}},
		then: []plan{{words: "a second head", minutes: 5,
			stand: func(p *Problem) { everywhere(p, 0, 2); p.Lights[0].Level = -1 }}},
		never: []plan{{words: "ISO 800", set: func(c *choice) { c.iso(3); c.by(0, -3) }}}})

	dim := Problem{Points: points("face", "wall"), Camera: faceCamera(4, 1./60),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3), burns("room", Scale{}, 0, 300)}}
	dim.Targets = []Target{must(LevelAt(0, -0.1)),
		known(LevelAt(1, q.Stops(math.Log2(0.65*300*.18/math.Pi/60*10/16)+0.4)), 0.3)}
	add(preference{name: "38 a wall 0.4 st low, not a reason for 1/8 s", p: dim,
		first: []plan{{words: "1/40", set: func(c *choice) { c.time(0.58) }}, leave},
		never: []plan{{words: "1/8", set: func(c *choice) { c.time(2.9) }},
			{words: "ISO 200, flash down", set: func(c *choice) { c.iso(1); c.by(0, -1) }}}})

	group := dim
	group.Camera.Aperture = 8
	group.Lights = []Light{at(flashes("key", tenths, 4*f4*st(3), 0), -3), burns("room", Scale{}, 0, 2400)}
	group.Targets = []Target{must(LevelAt(0, -0.1)), LevelAt(1, q.Stops(math.Log2(0.65*2400*.18/math.Pi/60*10/64)+1))}
	add(preference{name: "39 two people at f/8, the room a stop low", p: group,
		first: []plan{{words: "1/30", set: func(c *choice) { c.time(1) }}},
		then:  []plan{{words: "ISO 200, flash down", set: func(c *choice) { c.iso(1); c.by(0, -1) }}},
		never: []plan{{words: "f/4, flash down", set: func(c *choice) { c.open(2); c.by(0, -2) }}}})

	tint := Problem{Points: points("edge"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("edge", tenths, f4*st(3)), -3)},
		Targets: []Target{ReadsAt(0, 4), ColourAt(0, 0, 0, 0.01)}}
	u, v := uvOf(0.95, 1, 1.09)
	tint.Targets[1].UV = [2]float64{u + 0.008, v}
	o := tint.Lights[0].Options[0]
	o.Cost = 0.12
	tint.Lights[0].Options = append(tint.Lights[0].Options, o)
	add(preference{name: "40 a colour off by less than anyone sees", p: tint, first: []plan{leave}, leaves: true,
		never: []plan{{words: "another gel", minutes: 0.75, set: func(c *choice) { c.s.opt[0] = 1 }}}})

	spill := Problem{Points: points("face", "shadow"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), f4*st(3)/4), -3),
			at(flashes("wall", tenths, 0, f4*0.06*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), must(ReadsAbove(0, 1, 2))}}
	brings(&spill, 1, 1, 2.2)
	add(preference{name: "41 a wall light that no target names stands in the way", p: spill,
		first: []plan{up(1, -1.5, "the wall light down")}, never: []plan{leave, up(0, 1, "the key up")}})

	mirror := Problem{Points: points("face", "glass"), Camera: faceCamera(5.6, 1./125),
		Lights:  []Light{at(flashes("key", tenths, 2*f4*st(3), 2*f4*st(3)*st(1)), -3)},
		Targets: []Target{must(ReadsAt(0, 5.6)), Brightest(1, -0.5)}}
	add(preference{name: "42 mirror: the box glares in the glass", p: mirror,
		first: []plan{{words: "key round, out of the glass", minutes: 1.5, extra: 0.2,
			stand: func(p *Problem) { brings(p, 0, 1, st(-3)) }}},
		then: []plan{{words: "a flag between box and glass", minutes: 4,
			stand: func(p *Problem) { brings(p, 0, 1, st(-1.3)) }}},
		never: []plan{up(0, -1.5, "key down"), leave}})

	thin := full(0.6, 0.1)
	add(preference{name: "43 shoe flash at full, metered, 0.6 short", p: thin,
		first: []plan{{words: "nearer", minutes: 1.5, extra: 0.3,
			stand: func(p *Problem) { everywhere(p, 0, st(0.6)) }},
			{words: "ISO 160", set: func(c *choice) { c.iso(0.6) }}},
		never: []plan{leave, {words: "open up two stops", set: func(c *choice) { c.open(2); c.by(0, -1.4) }}}})

	// A corner of a dark bar: a key, a hair light that spills on the shadow side, no fill. The
	// ratio can only be had by spill.
	corner := Problem{Points: points("face", "shadow", "hair"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), f4*st(3)*st(-3.4), 0), -3),
			at(flashes("hair", tenths, 0, f4*st(3)*st(-4.5), f4*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(0, 1, q.StopsOf(3)), ReadsAbove(2, 0, 1)}}
	corner.Lights[0].For, corner.Lights[1].For = []int{0}, []int{2}
	add(preference{name: "44 a hair light is set for the hair, not to fill the face", p: corner,
		solves: map[int]q.Stops{0: -3, 1: -2},
		first: []plan{{words: "hair up one, and a white beside the face", minutes: 0.75, solve: true,
			stand: func(p *Problem) { brings(p, 0, 1, st(1.8)) }}},
		then:  []plan{up(1, 1, "hair up one, the ratio told")},
		never: []plan{up(1, 1.8, "hair up two for the ratio"), up(1, 1.4, "the miss split")}})
	corner.Targets = append([]Target{}, corner.Targets...)
	corner.Targets[1].Priority = Must
	add(preference{name: "45 the same with the ratio a must", p: corner, solves: map[int]q.Stops{0: -3, 1: -2},
		first: []plan{up(1, 1, "hair up one, the ratio told")}, never: []plan{up(1, 1.8, "hair up two for the ratio")}})

	// A kicker that nothing asks for could fill; it is left.
	kick := corner
	kick.Targets = corner.Targets[:2]
	kick.Lights = append([]Light{}, corner.Lights...)
	kick.Lights[1].For = []int{}
	add(preference{name: "46 a kicker that nothing asks for is no fill", p: kick, first: []plan{leave},
		solves: map[int]q.Stops{0: -3, 1: -3},
		never:  []plan{up(1, 2, "the kicker up two")}})

	// A fill that reaches the whole face, the key at full and half a stop short.
	even := Problem{Points: points("face", "shadow"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(-0.8), 0), 0),
			at(flashes("fill", tenths, f4*st(3)*0.2, f4*st(3)*0.25), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(0, 1, 2)}}
	even.Lights[0].For, even.Lights[1].For = []int{0}, []int{1}
	add(preference{name: "47 a fill is not turned up for a key that is short", p: even,
		first: []plan{{words: "ISO " +
			"160", set: func(c *choice) { c.iso(0.33) }}}, then: []plan{leave}, never: []plan{up(1, 1, "the fill "+
			"up one")}})

	// A light on the wall behind spills on the face, which is half a stop short of its key.
	spilt := Problem{Points: points("face", "wall"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(-0.7), f4*0.01), 0),
			at(flashes("wall", tenths, f4*0.1*st(3), f4*0.25*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(1, 0, -2)}}
	spilt.Lights[0].For, spilt.Lights[1].For = []int{0}, []int{1}
	add(preference{name: "48 a wall light is not turned up for the face", p: spilt,
		first: []plan{{words: "ISO 160", set: func(c *choice) { c.iso(0.66) }}}, never: []plan{up(1, 1.5,
			"the wall light up")}})

	// Thirds of a stop leave 0.09 st over; the camera's thirds would leave 0.08.
	third := Problem{Points: points("face"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", thirds, f4*st(4.088)), -2)},
		Targets: []Target{known(must(ReadsAt(0, 4)), 0.57)}}
	third.Lights[0].For, third.Camera.ISO, third.Camera.ISOs = []int{0}, 100, []q.ISO{50, 63, 100, 160}
	add(preference{name: "49 no second dial for a hundredth of a stop", p: third, solves: map[int]q.Stops{0: -4},
		first: []plan{up(0, -2, "the key down")},
		never: []plan{{words: "the key down and ISO 63", set: func(c *choice) { c.by(0, -4./3); c.iso(-0.678) }}}})
	return out
}
