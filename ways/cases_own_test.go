package ways

import "testing"

// TestOwnCases: twelve situations more, unlike those of the list and each other. In each stands
// first what an experienced crew does first, then what it does then, and what it never does does
// not stand above leaving the set as it is (common practice, no source).
func TestOwnCases(t *testing.T) {
	for _, c := range []tradeCase{
		{name: "a work lamp on its own switch burns on the hull behind", room: "boat-shed",
			order: [][]string{{"switch off work lamp"}, {"set 1/200 s"}, {"set f/"}},
			never: []string{"move key", "set ISO 8"}, says: []string{"ask the yard"}},
		{name: "a bald head: the hair light at its lowest", room: "bald-head",
			order: [][]string{{"neutral density", "on hair"}, {"move hair"}, {"set f/"}},
			never: []string{"move key", "set ISO", "switch off"}, says: []string{"hair is at its lowest"}},
		{name: "two on a sofa at f/8, the key at full", room: "sofa-two",
			order: [][]string{{"move key", "nearer"}, {"set ISO 200"}, {"a second battery head 200"}},
			never: []string{"set f/2", "set ISO 8", "a white"}, says: []string{"key is at full", "a stronger head"}},
		{name: "a fill that is the key's equal", room: "strong-fill", order: [][]string{{"balanced, nothing else"}},
			never: []string{"move", "set", "a black"}, says: []string{"Set fill to 1/32"}},
		{name: "a nave by night: its lamps come by the shutter", room: "church-nave",
			order: [][]string{{"set 1/20 s"}, {"set ISO"}}, never: []string{"switch off", "move key", "black out"}},
		{name: "a tent, one panel at full: the shutter is quick", room: "tent-led",
			order: [][]string{{"set 1/80 s"}, {"move key", "nearer"}, {"set f/2.8"}, {"set ISO 250"}},
			never: []string{"set 1/4 s", "set ISO 8"}, says: []string{"key is at full"}},
		{name: "a dressing room, the head at its lowest", room: "low-dial",
			order: [][]string{{"neutral density", "on key"}, {"move key", "back"}, {"set f/4"}},
			says:  []string{"key is at its lowest"}},
		{name: "a white ground two stops over", room: "white-ground", order: [][]string{{"balanced, nothing else"}},
			never: []string{"move", "set f/", "set ISO"},
			says:  []string{"ground left to 1/8 (down", "ground right to 1/8 (down"}},
		{name: "a kicker that nothing asks for, a tenth over", room: "unasked-kicker",
			order: [][]string{{"keep it as it is"}}, says: []string{"Leave it as it is"}},
		{name: "a background head set too low", room: "reading-room", order: [][]string{{"balanced, nothing else"}},
			never: []string{"of its own", "set ISO", "set f/"}, says: []string{"Set background to 1/32"}},
		{name: "a narrow passage, the key in the wall", room: "near-wall", order: [][]string{{"move key", "nearer"}},
			never: []string{"keep it as it is", "set ISO", "set f/"}, says: []string{"into wall 1. That comes first"}},
		{name: "a window fills the other cheek: to the sync speed before it is blacked out", room: "side-window",
			order: [][]string{{"set 1/200 s"}, {"black out tall window"}},
			never: []string{"set ISO 4", "set ISO 8", "a white"}, says: []string{"tall window", "a faster shutter"}},
	} {
		c.hold(t)
	}
}
