package figure

// The words of a shoot file for each choice, in order of the values.
var (
	PoseWords = []string{Standing: "standing", Seated: "seated", Leaning: "leaning", Walking: "walking",
		Stool: "bar stool",
		Floor: "floor"}
	HairWords = []string{NoHair: "none", Short: "short", Bob: "bob", TiedBack: "tied back", Shaved: "shaved",
		Long: "long", Curly: "curly"}
	BeardWords = []string{Shaven: "none", Stubble: "stubble", Full: "full"}
	HatWords   = []string{NoHat: "none", Beanie: "beanie", Cap: "cap", Brimmed: "brimmed"}
	HandsWords = []string{AsPosed: "as posed", Hanging: "hanging", Folded: "folded", Clasped: "clasped",
		OnHips:   "on hips",
		OneOnHip: "one on hip", InPockets: "in pockets", Holding: "holding", AtChin: "at chin", OnThighs: "on thighs",
		InLap: "in lap", OnSurface: "on surface", Swinging: "swinging", RoundKnee: "round knee"}
	ClothesWords = []string{Jumper: "jumper", Shirt: "shirt", Coat: "coat", Dress: "dress", Bare: "none",
		Jacket: "jacket", TShirt: "t-shirt"}
	GirthWords = []string{"slight", "medium", "heavy"}
)

// PoseNamed returns the Pose of a word in PoseWords; false for any other word.
func PoseNamed(word string) (Pose, bool) {
	i, ok := index(PoseWords, word)
	return Pose(i), ok
}

// HairNamed returns the Hair of a word in HairWords; false for any other word.
func HairNamed(word string) (Hair, bool) {
	i, ok := index(HairWords, word)
	return Hair(i), ok
}

// ClothesNamed returns the Clothes of a word in ClothesWords; false for any other word.
func ClothesNamed(word string) (Clothes, bool) {
	i, ok := index(ClothesWords, word)
	return Clothes(i), ok
}

// BeardNamed returns the Beard of a word in BeardWords; false for any other word.
func BeardNamed(word string) (Beard, bool) {
	i, ok := index(BeardWords, word)
	return Beard(i), ok
}

// HatNamed returns the Hat of a word in HatWords; false for any other word.
func HatNamed(word string) (Hat, bool) {
	i, ok := index(HatWords, word)
	return Hat(i), ok
}

// HandsNamed returns the Gesture of a word in HandsWords; false for any other word.
func HandsNamed(word string) (Gesture, bool) {
	i, ok := index(HandsWords, word)
	return Gesture(i), ok
}

// GirthNamed returns the Params.Girth of a word in GirthWords; false for any other word.
func GirthNamed(word string) (float64, bool) {
	i, ok := index(GirthWords, word)
	return float64(i) - 1, ok
}

// index is the place of word in words, 0 and false if it is not there.
func index(words []string, word string) (int, bool) {
	for i, w := range words {
		if w == word {
			return i, true
		}
	}
	return 0, false
}
