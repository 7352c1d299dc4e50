package figure

// The words of a shoot file for each choice, in order of the values.
var (
	PoseWords    = []string{Standing: "standing", Seated: "seated", Leaning: "leaning"}
	HairWords    = []string{NoHair: "none", Short: "short", Bob: "bob", TiedBack: "tied back"}
	ClothesWords = []string{Jumper: "jumper", Shirt: "shirt", Coat: "coat", Dress: "dress", Bare: "none"}
	GirthWords   = []string{"slight", "medium", "heavy"}
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
