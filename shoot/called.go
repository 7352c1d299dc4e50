package shoot

// The names by which messages call a group of settings, where the name of its type would not do.

// Called names it in messages.
func (About) Called() string { return "the shoot" }

// Called names it in messages.
func (House) Called() string { return "the house" }

// Called names it in messages.
func (Room) Called() string { return "the room" }

// Called names it in messages.
func (Hours) Called() string { return "the hours" }

// Called names it in messages.
func (Outside) Called() string { return "the outside" }

// Called names it in messages.
func (Reads) Called() string { return "a reading" }

// Called names it in messages.
func (BoxShape) Called() string { return "a box" }

// Called names it in messages.
func (FlatShape) Called() string { return "a quad or disc" }

// Called names it in messages.
func (BallShape) Called() string { return "a sphere" }

// Called names it in messages.
func (CylinderShape) Called() string { return "a cylinder" }

// Called names it in messages.
func (Camera) Called() string { return "the camera" }

// Called names it in messages.
func (Sitter) Called() string { return "the sitter" }

// Called names it in messages.
func (Haze) Called() string { return "the haze" }

// Called names it in messages.
func (Wish) Called() string { return "an entry of the look" }

// Called names it in messages.
func (May) Called() string { return "may" }

// Called names it in messages.
func (Repeat) Called() string { return "a field of lights" }

// Called names it in messages.
func (SkinReads) Called() string { return "the readings of the skin" }

// Called names it in messages.
func (CeilingZone) Called() string { return "a part of the ceiling" }
