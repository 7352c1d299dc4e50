package kind

// Panel is a kind of panel: a flat thing with two sides.
type Panel struct {
	Word, Says string
	Face       string // preset surface where the shoot names none
	Hatch      Hatch  // how a plan draws it
	Fills      bool   // gives light back to the sitter
	Passes     bool   // lets light through
}

// Hatch is what fills a panel's outline on paper.
type Hatch uint8

const (
	Plain   Hatch = iota + 1 // nothing
	Dots                     // cloth that lets light through
	Dense                    // close strokes: black
	Crossed                  // a net
)

var panels = register[Panel]{word: func(p *Panel) string { return p.Word }, list: []Panel{
	{Word: "silk", Says: "cloth that lets light through", Face: "full silk", Hatch: Dots, Passes: true},
	{Word: "frost", Says: "a clear sheet that softens a little", Face: "light frost", Hatch: Dots, Passes: true},
	{Word: "reflector", Says: "gives light back", Face: "white reflector", Hatch: Plain, Fills: true},
	{Word: "flag", Says: "keeps light off", Face: "black stage cloth", Hatch: Dense},
	{Word: "black", Says: "takes light away from the side it stands on", Face: "black stage cloth", Hatch: Dense},
	{Word: "board", Says: "a stiff board", Face: "white board", Hatch: Plain, Fills: true},
	{Word: "fabric", Says: "hung cloth", Face: "white cotton", Hatch: Plain},
	{Word: "net", Says: "a net that takes some light", Face: "single net", Hatch: Crossed, Passes: true},
}}

// FindPanel looks a kind of panel up by its word.
func FindPanel[S ~string](word S) (Panel, bool) { return panels.find(string(word)) }

// Panels lists all kinds of panel.
func Panels() []Panel { return panels.list }

// PanelWords lists their words.
func PanelWords() []string { return panels.words() }

// PanelWord is the word of a kind of panel; a file takes no other.
type PanelWord string

// Words lists what it may be.
func (PanelWord) Words() []string { return PanelWords() }
