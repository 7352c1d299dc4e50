package figure

import (
	"encoding/binary"
	"hash/fnv"
	"math"

	"halfstop/quantity"
)

// Form is the build of one person's head and trunk: millimetres, except where said.
//
// 'ANSUR II' is the 2012 survey of US Army personnel (Gordon et al. 2014, NATICK/TR-15/007), public
// file of 4,082 men and 1,986 women; the means are in data/ansur2.csv. 'Memory' marks clinical
// figures that were not found in print. Checks: TestSurvey, TestAnthropometry, TestSegments measure
// the finished mesh.
type Form struct {
	HeadLength  float64 // glabella to back of head; ANSUR II
	HeadBreadth float64 // widest, above the ears; ANSUR II
	// crown to chin; memory (ANSUR II has no such figure; its tragion to top of head is met)
	HeadHeight     float64
	FaceHeight     float64 // sellion to chin; ANSUR II menton–sellion
	Bizygomatic    float64 // across the cheekbones; ANSUR II
	Bigonial       float64 // across the jaw angles, calliper pressed; memory
	Interpupillary float64 // ANSUR II
	NoseBreadth    float64 // across the wings; memory
	NoseProtrusion float64 // subnasale to tip; memory
	NoseHeight     float64 // sellion to subnasale; memory
	LipWidth       float64 // memory
	LipFullness    float64 // 1 is middling
	EarLength      float64 // ANSUR II
	NeckBreadth    float64 // drawn to ANSUR II's neck circumference
	Brow           float64 // 0 smooth to 1 heavy
	Larynx         float64 // 0 to 1
	Lean           float64 // 0 full cheeks to 1 hollow
	Chin           float64 // added to the chin, forward positive
	// 0 angular to 1 rounded: brow rim, jaw corner, brow height, cheek (drawn by eye)
	Soft       float64
	Asymmetry  float64 // 0 to 1; a little keeps the face from looking cast
	LidOpen    float64 // 0 shut to 1 awake
	Biacromial float64 // across the shoulder points, at the Form's own stature; ANSUR II
	ChestDepth float64 // ANSUR II
	HipBreadth float64 // ANSUR II, standing
	Bust       float64 // 0 to 1
	OwnStature float64 // the stature the trunk figures belong to
}

// Params says who sits, how, and in what. Make one with Man or Woman and change what differs. Build
// brings figures outside the drawing's range to its edge (see Clamped), so no value makes it panic.
type Params struct {
	Form
	Stature  quantity.Metres // standing height, barefoot
	Years    float64         // age; 0 is grown and not yet old
	Girth    float64         // -1 slight, 0 medium, +1 heavy
	Pose     Pose
	Hands    Gesture
	Rest     quantity.Metres  // height of what a hand lies on, for OnSurface
	Seat     quantity.Metres  // height of the seat, for Seated
	Turn     quantity.Degrees // head against chest, to the sitter's left positive
	Tilt     quantity.Degrees // head against chest, lowered positive
	Roll     quantity.Degrees // head against chest, tipped to the sitter's right positive
	GazeTurn quantity.Degrees // eyes against head, to the sitter's left positive
	GazeTilt quantity.Degrees // eyes against head, lowered positive
	GazeTo   quantity.Metres  // distance at which both eyes meet; 0 is far away
	Hair     Hair
	Clothes  Clothes
	Beard    Beard
	Hat      Hat
	Glasses  bool
	Detail   Detail
	Seed     uint64 // moves single hairs only
	headOnly bool   // tests measure the head alone
}

// Pose is how the body is carried.
type Pose uint8

const (
	Standing Pose = iota
	Seated
	Leaning
	Walking
	Stool // on a bar stool
	Floor // on the floor, one knee drawn up
)

// Gesture is what the hands do.
type Gesture uint8

const (
	AsPosed   Gesture = iota // what goes with the pose
	Hanging                  // arms at the sides
	Folded                   // arms crossed
	Clasped                  // hands together before the hips
	OnHips                   // both hands on the hips
	OneOnHip                 // the right hand on the hip
	InPockets                // hands in the pockets
	Holding                  // the left hand held up before the chest, as round a cup
	AtChin                   // the right hand at the chin
	OnThighs                 // seated: on the thighs
	InLap                    // seated: one hand in the other
	OnSurface                // on a counter or table Params.Rest high
	Swinging                 // as in walking
	RoundKnee                // on the floor: one over the knee, one behind
)

// Hair is a cut.
type Hair uint8

const (
	NoHair Hair = iota
	Short
	Bob
	TiedBack
	Shaved // two millimetres long
	Long   // loose, to below the shoulders
	Curly
)

// Clothes is what is worn over the trunk. All but Dress come with trousers.
type Clothes uint8

const (
	Jumper Clothes = iota
	Shirt
	Coat // open at the neck over a shirt front
	Dress
	Bare   // bare trunk and arms
	Jacket // shorter than a coat
	TShirt
)

// Man starts from a man of survey-mean proportions. Sources: see Form.
func Man() Params {
	return Params{Form: Form{HeadLength: 199.5, HeadBreadth: 154.3, HeadHeight: 230, FaceHeight: 122.6,
		Bizygomatic: 142.6, Bigonial: 111,
		Interpupillary: 64, NoseBreadth: 36, NoseProtrusion: 20, NoseHeight: 53, LipWidth: 52, LipFullness: 0.95,
		EarLength:   64.2,
		NeckBreadth: 117, Brow: 0.6, Larynx: 0.8, Lean: 0.3, Soft: 0.1, Asymmetry: 0.5, LidOpen: 0.88,
		Biacromial: 415.7, ChestDepth: 253.8, HipBreadth: 345.7, OwnStature: 1756.2},
		Stature: 1.7562, Seat: 0.45, GazeTo: 2, Hair: Short, Clothes: Jumper, Detail: Portrait}
}

// Woman starts from a woman of survey-mean proportions. Sources: see Form.
func Woman() Params {
	return Params{Form: Form{HeadLength: 189.8, HeadBreadth: 147.8, HeadHeight: 217, FaceHeight: 113.2,
		Bizygomatic: 133.8, Bigonial: 95,
		Interpupillary: 61.7, NoseBreadth: 32, NoseProtrusion: 17.5, NoseHeight: 49, LipWidth: 49, LipFullness: 1.12,
		EarLength:   59.4,
		NeckBreadth: 94, Brow: 0.05, Larynx: 0.05, Lean: 0, Chin: -3, Soft: 0.85, Asymmetry: 0.5, LidOpen: 0.93,
		Biacromial: 365.3, ChestDepth: 247.4, HipBreadth: 353.8, Bust: 0.7, OwnStature: 1628.5},
		Stature: 1.6285, Seat: 0.45, GazeTo: 2, Hair: TiedBack, Clothes: Coat, Detail: Portrait}
}

// Clamped returns p with every figure inside the range the drawing was made for; NaN becomes the
// middle of the range. Check: TestClamp, FuzzBuild.
func (p Params) Clamped() Params {
	for _, r := range []struct {
		x      *float64
		lo, hi float64
	}{
		{&p.HeadLength, 170, 225}, {&p.HeadBreadth, 130, 175}, {&p.HeadHeight, 195, 255}, {&p.FaceHeight, 100, 138},
		{&p.Bizygomatic, 118, 158}, {&p.Bigonial, 82, 130}, {&p.Interpupillary, 52, 76}, {&p.NoseBreadth, 26, 48},
		{&p.NoseProtrusion, 12, 27}, {&p.NoseHeight, 42, 62}, {&p.LipWidth, 42, 62}, {&p.LipFullness, 0.5, 1.9},
		{&p.EarLength, 50, 75}, {&p.NeckBreadth, 80, 135}, {&p.Brow, 0, 1}, {&p.Larynx, 0, 1}, {&p.Lean, 0, 1},
		{&p.Chin, -6, 5},
		{&p.Soft, 0, 1}, {&p.Asymmetry, 0, 1}, {&p.LidOpen, 0.3, 1}, {&p.Biacromial, 310, 470},
		{&p.ChestDepth, 200, 330},
		{&p.HipBreadth, 290, 430}, {&p.Bust, 0, 1}, {&p.OwnStature, 1400, 2100}, {&p.Girth, -1, 1}, {&p.Years, 0, 110},
		{(*float64)(&p.Stature), 0.80, 2.10}, {(*float64)(&p.Seat), 0.25, 0.90}, {(*float64)(&p.Rest), 0,
			1.5}, {(*float64)(&p.GazeTo), 0, 1e6},
		{(*float64)(&p.Turn), -75, 75}, {(*float64)(&p.Tilt), -35, 40}, {(*float64)(&p.Roll), -30, 30},
		{(*float64)(&p.GazeTurn), -35, 35}, {(*float64)(&p.GazeTilt), -25, 30},
	} {
		if math.IsNaN(*r.x) {
			*r.x = (r.lo + r.hi) / 2
		}
		*r.x = clamp(*r.x, r.lo, r.hi)
	}
	if p.Years > 0 && p.Years < 3 {
		p.Years = 3
	}
	if p.Years == 0 || p.Years >= 14 {
		p.Stature = max(p.Stature, 1.40)
	}
	p.Pose, p.Hands = min(p.Pose, Floor), min(p.Hands, RoundKnee)
	p.Hair, p.Clothes = min(p.Hair, Curly), min(p.Clothes, TShirt)
	p.Detail, p.Beard, p.Hat = min(p.Detail, Close), min(p.Beard, Full), min(p.Hat, Brimmed)
	switch p.Pose {
	case Seated, Stool:
	case Floor:
		p.Seat = 0
	default:
		p.Seat = 0.45
	}
	return p
}

// Key is a fingerprint of everything Build depends on: equal keys give equal meshes. It serves as a
// cache key within one version of the program. Check: TestKey.
func (p Params) Key() uint64 {
	h := fnv.New64a()
	// fixed-size fields only, so Write cannot fail
	_ = binary.Write(h, binary.LittleEndian, struct {
		Form                                 Form
		Stature, Seat, Rest, GazeTo          quantity.Metres
		Years, Girth                         float64
		Turn, Tilt, Roll, GazeTurn, GazeTilt quantity.Degrees
		Pose                                 Pose
		Hands                                Gesture
		Hair                                 Hair
		Clothes                              Clothes
		Beard                                Beard
		Hat                                  Hat
		Glasses                              bool
		Detail                               Detail
		Seed                                 uint64
	}{p.Form, p.Stature, p.Seat, p.Rest, p.GazeTo, p.Years, p.Girth, p.Turn,
		p.Tilt, p.Roll, p.GazeTurn, p.GazeTilt, p.Pose, p.Hands, p.Hair,
		p.Clothes, p.Beard, p.Hat, p.Glasses, p.Detail, p.Seed})
	return h.Sum64()
}

// worn are the figures after girth and stature have done their part.
func (p Params) worn() Params {
	p = p.Clamped().aged()
	k := float64(p.Stature) * 1000 / p.OwnStature
	p.Biacromial *= k
	p.HipBreadth *= k * (1 + 0.09*p.Girth)
	p.ChestDepth *= k * (1 + 0.11*p.Girth)
	p.NeckBreadth *= 1 + 0.06*p.Girth
	p.Lean = clamp(p.Lean-0.35*p.Girth, 0, 1)
	p.Bigonial *= 1 + 0.025*p.Girth
	return p
}
