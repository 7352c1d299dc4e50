package kind

var _ = modifiers.add(Modifier{
	Folds: true, Word: "umbrella", Says: "an umbrella, shot into or through", Mounts: []string{"bayonet", "shoe"},
	Shape:  "disc",
	Body:   shell{skin: cloth, bulge: 0.7, shaft: true, boxed: true}.body(),
	Symbol: Symbol{Ribs: 8, Sections: [][2]float64{{1, 0}, {0.968, 0.25}, {0.866, 0.5}, {0.661, 0.75}, {0, 1}}},
	Swap:   true,
})
