package kind

var _ = modifiers.add(Modifier{
	Folds: true, Word: "octa", Says: "an eight-sided box with a cloth face", Mounts: []string{"bayonet", "shoe"},
	Shape:   "disc",
	Octagon: true,
	Body:    shell{skin: cloth, bulge: 0.7, octagon: true, boxed: true}.body(),
	Symbol:  Symbol{Sides: 8, Sections: [][2]float64{{1, 0}, {0.93, 0.3}, {0.7, 0.7}, {0.3, 1}}, Flat: straight},
	Grid:    "egg crate 40", Swap: true,
})
