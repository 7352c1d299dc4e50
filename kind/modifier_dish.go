package kind

var _ = modifiers.add(Modifier{
	Word: "dish", Says: "a dish with a plate over the tube", Mounts: []string{"bayonet"},
	Shape:  "disc",
	Plate:  platePart,
	Body:   shell{skin: "pale grey", bulge: 0.55, boxed: true, plate: platePart}.body(),
	Symbol: Symbol{Sections: [][2]float64{{1, 0}, {0.6, 1}}, Flat: straight},
	Grid:   "grid 20", Swap: true,
})

// platePart is the radius of the plate that hides a dish's tube from the sitter, as a share of its
// diameter: its catchlight is a ring. A plate of 27 % of the dish's diameter is common practice, no
// source.
const platePart = 0.135
