package kind

var _ = modifiers.add(Modifier{
	Folds: true, Word: "lantern", Says: "a ball of cloth, light all round", Mounts: []string{"bayonet"},
	Shape:  "sphere",
	Body:   shell{boxed: true}.body(),
	Symbol: Symbol{Sections: ball},
	Grid:   "egg crate 40", Swap: true,
})

// ball are the sections of a sphere about the middle of its face.
var ball = [][2]float64{{0, -0.5}, {0.5, -0.433}, {0.866, -0.25}, {1, 0}, {0.866, 0.25}, {0.5, 0.433}, {0, 0.5}}
