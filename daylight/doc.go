// Package daylight knows where the sun stands and how daylight under cloud goes with it.
//
// It holds what the hour strip needs: the sun's place from instant and place on earth, and an
// overcast scale. Sky by condition, sun through an opening and the spread between conditions are
// not here yet; whoever adds them puts them behind Scale.
package daylight
