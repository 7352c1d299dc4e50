package kind

// Stand is a kind of stand.
type Stand struct {
	Word, Says string
	Feet       bool    // stands on the floor by its own feet
	Arm        bool    // holds its load out to the side
	Plate      bool    // a plate or short legs, for what is near the floor
	Black      bool    // painted; else bright metal
	Brace      float64 // where the braces meet the column, share of the height of the collar
}

var stands = register[Stand]{word: func(s *Stand) string { return s.Word }, list: []Stand{
	{Word: "stand", Says: "three legs and a column", Feet: true, Black: true, Brace: 0.35},
	{Word: "grip", Says: "a turtle base and an arm of its own", Feet: true, Brace: 0.55},
	{Word: "boom", Says: "a column with a long arm and a counterweight", Feet: true, Arm: true, Brace: 0.35},
	{Word: "roller", Says: "a heavy stand on wheels", Feet: true, Brace: 0.55},
	{Word: "clamp", Says: "held on something that is there"},
	{Word: "floor", Says: "a low stand or a plate", Feet: true, Plate: true, Black: true, Brace: 0.35},
}}

// FindStand looks a kind of stand up by its word.
func FindStand[S ~string](word S) (Stand, bool) { return stands.find(string(word)) }

// Stands lists all kinds of stand.
func Stands() []Stand { return stands.list }

// StandWords lists their words.
func StandWords() []string { return stands.words() }

// StandWord is the word of a kind of stand; a file takes no other.
type StandWord string

// Words lists what it may be.
func (StandWord) Words() []string { return StandWords() }
