package kind

// Practical is a kind of light that belongs to a place. Figures are common practice, no source,
// unless a line says otherwise.
type Practical struct {
	Word, Says string
	Colour     string  // a lamp of package spectrum, or a temperature: what stands in where the shoot names no colour
	PerWatt    float64 // lm for each watt of its label
	Flux       float64 // lm where nothing at all is said of its level; 0: it must be said
	Filament   bool    // a glowing wire: dimmed, it turns redder
	Ripple     float64 // share of its light that swings at twice the mains, 0 to 1
	Mark       Mark    // how a plan draws it
}

// Mark is the sign for a light of the house on a plan.
type Mark uint8

const (
	MarkTube  Mark = iota + 1 // its path
	MarkBulb                  // a round sign
	MarkFace                  // its face, flat
	MarkFlame                 // a small sign without a body
)

var practicals = register[Practical]{word: func(p *Practical) string { return p.Word }, list: []Practical{
	{Word: "bulb", Says: "a lamp bulb, a warm LED where nothing else is said", Colour: "2700 K", PerWatt: 90,
		Ripple: 0.3, Mark: MarkBulb},
	{Word: "filament bulb", Says: "a glowing filament", Colour: "2700 K", PerWatt: 12, Filament: true, Ripple: 0.1,
		Mark: MarkBulb},
	{Word: "halogen lamp", Says: "a halogen lamp", Colour: "2900 K", PerWatt: 17, Filament: true, Ripple: 0.1,
		Mark: MarkBulb},
	{Word: "led panel", Says: "a flat panel in or under the ceiling", Colour: "white led 4000", PerWatt: 100,
		Ripple: 0.1, Mark: MarkFace},
	{Word: "led strip", Says: "a strip of light", Colour: "3000 K", PerWatt: 80, Ripple: 0.1, Mark: MarkTube},
	{Word: "led tube", Says: "an LED tube in a batten", Colour: "white led 4000", PerWatt: 110, Ripple: 0.3,
		Mark: MarkTube},
	{Word: "fluorescent tube", Says: "a tube in a batten", Colour: "fluorescent 4000", PerWatt: 75, Ripple: 0.4,
		Mark: MarkTube},
	{Word: "neon tube", Says: "a bent glass tube", Colour: "neon red", PerWatt: 15, Ripple: 0.8, Mark: MarkTube},
	{Word: "sign", Says: "a lit sign, faced with opal", Colour: "6500 K", PerWatt: 60, Ripple: 0.3, Mark: MarkFace},
	{Word: "screen", Says: "a television, a monitor, a phone", Colour: "D65", PerWatt: 5, Mark: MarkFace},
	{Word: "candle", Says: "one flame, about 1 cd", Colour: "candle", Flux: 12.6, Mark: MarkFlame},
	{Word: "street lamp", Says: "a lamp on a pole outside", Colour: "sodium", PerWatt: 100, Ripple: 0.8,
		Mark: MarkBulb},
}}

// FindPractical looks a kind of practical up by its word. Other words are allowed: they have
// nothing that stands in.
func FindPractical[S ~string](word S) (Practical, bool) { return practicals.find(string(word)) }

// Practicals lists all kinds of practical.
func Practicals() []Practical { return practicals.list }

// PracticalWords lists their words.
func PracticalWords() []string { return practicals.words() }
