package kind

var _ = modifiers.add(Modifier{
	Word: "reflector", Says: "a metal reflector", Mounts: []string{"bayonet"},
	Shape:  "disc",
	Body:   shell{boxed: true}.body(),
	Symbol: Symbol{Sections: [][2]float64{{1, 0}, {0.6, 1}}, Flat: straight},
	Grid:   "grid 20", Swap: true,
})
