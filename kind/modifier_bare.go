package kind

var _ = modifiers.add(Modifier{
	Word: "bare", Says: "the head with nothing on it", Mounts: []string{"bayonet", "shoe", "frame", "tube", "lens"},
	Body:     shell{boxed: true}.body(),
	Symbol:   Symbol{Sections: [][2]float64{{1, 0}, {0.6, 1}}, Flat: straight},
	HotHeads: true,
})
