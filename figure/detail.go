package figure

// Detail is how finely the sitter is drawn. All levels are taken from the same fields, so that
// their landmarks agree within 2 mm (check: TestLandmarksAgree).
type Detail uint8

const (
	Portrait Detail = iota // head and shoulders fill the frame
	Shadow                 // meter readings: casts the right shadows, no lids, brows, lashes, loose hair or fingers
	Far                    // the whole sitter fills the frame's height or less
	Close                  // the face fills the frame
)

// DetailFor is the coarsest level that looks no worse than a finer one where a pixel covers so many
// millimetres of the sitter. The limits are cells of about two pixels, drawn by eye. For meter
// readings ask for Shadow outright.
func DetailFor(pixelMM float64) Detail {
	switch {
	case pixelMM < 0.35:
		return Close
	case pixelMM < 1.5:
		return Portrait
	case pixelMM < 10:
		return Far
	}
	return Shadow
}

// grain is what a level of detail stands for: cell sizes in mm and what is left out.
type grain struct {
	face, hair, trunk, fine, leg, shoe, hand, arm float64
	locks, edge, brow                             int     // loose locks, hairs at the hairline, hairs a brow
	browWidth, lockWidth                          float64 // mm
	// shut lids, no parting of the lips, no relief of hair, one-piece hands
	plain  bool
	lashes bool
	ring   int // pieces round an eyeball
}

var grains = [...]grain{
	Portrait: {face: 1.5, hair: 2.5, trunk: 4.5, fine: 2.2, leg: 7, shoe: 5, hand: 2.6, arm: 4, locks: 12000,
		lockWidth: 1.5, edge: 3600, brow: 640, browWidth: 0.17, lashes: true, ring: 64},
	Shadow: {face: 7.6, hair: 14, trunk: 26, fine: 7, leg: 34, shoe: 26, hand: 15, arm: 22, plain: true, ring: 12},
	Far: {face: 3.3, hair: 5.5, trunk: 8, fine: 2.6, leg: 10, shoe: 9, hand: 5, arm: 9, locks: 1600,
		lockWidth: 2.6, edge: 1300, brow: 190, browWidth: 0.6, ring: 24},
	Close: {face: 1.0, hair: 2.0, trunk: 4, fine: 2, leg: 8, shoe: 5, hand: 2.2, arm: 3, locks: 20000,
		lockWidth: 1.0, edge: 5500, brow: 700, browWidth: 0.15, lashes: true, ring: 96},
}
