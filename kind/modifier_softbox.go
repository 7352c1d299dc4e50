package kind

var _ = modifiers.add(Modifier{
	Folds: true, Word: "softbox", Says: "a box with a cloth face", Mounts: []string{"bayonet", "shoe"},
	Shape:  "rectangle",
	Body:   shell{boxed: true}.body(),
	Symbol: Symbol{Sections: [][2]float64{{1, 0}, {0.35, 1}}, Flat: straight},
	Grid:   "egg crate 40", Swap: true,
})
