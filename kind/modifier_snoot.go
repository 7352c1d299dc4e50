package kind

var _ = modifiers.add(Modifier{
	Word: "snoot", Says: "a cone that leaves a small spot", Mounts: []string{"bayonet"},
	Shape:  "disc",
	Body:   shell{boxed: true}.body(),
	Symbol: Symbol{Sections: [][2]float64{{1, 0}, {0.6, 1}}, Flat: straight},
})
