package photometry

import "math"

// Shape is the shape of a luminous opening.
type Shape int

const (
	ShapePoint     Shape = iota
	ShapeRectangle       // flat, or a box with luminous sides where Height > 0
	ShapeDisc            // flat, or an upright cylinder where Height > 0; an ellipse where Width and Length differ
	ShapeSphere          // or a spheroid where the sizes differ
	ShapeCylinder        // a cylinder lying along S (Length) or T (Width)
	ShapeUpright         // a disc or rectangle that stands: Height is its upright size
)

// String names the shape.
func (s Shape) String() string {
	return [...]string{"point", "rectangle", "disc", "sphere", "cylinder", "upright"}[s]
}

// Opening is the face that shines, in metres. Length lies along S (the plane 0 and 180), Width
// along T (90 and 270), Height along N.
type Opening struct {
	Shape                 Shape
	Width, Length, Height float64
	signs                 [3]int8 // of width, length, height in an LM-63 file, so that writing keeps the shape
}

// openingLM63 reads a shape from the signs of width, length and height (LM-63-2002 and 2019, table
// 1, as documented by an open-source reader; round shapes are negative). Earlier editions wrote a
// disc as one negative width and length 0.
func openingLM63(w, l, h, unit float64) Opening {
	sign := func(x float64) int8 {
		switch {
		case x > 0:
			return 1
		case x < 0:
			return -1
		}
		return 0
	}
	o := Opening{Width: math.Abs(w) * unit, Length: math.Abs(l) * unit, Height: math.Abs(h) * unit,
		signs: [3]int8{sign(w), sign(l), sign(h)}}
	switch o.signs {
	case [3]int8{0, 0, 0}:
		o.Shape = ShapePoint
	case [3]int8{-1, -1, 0}, [3]int8{-1, -1, 1}:
		o.Shape = ShapeDisc
	case [3]int8{-1, -1, -1}:
		o.Shape = ShapeSphere
	case [3]int8{-1, 0, 0}, [3]int8{-1, 0, 1}: // editions up to 1995: a disc or an upright cylinder
		o.Shape, o.Length = ShapeDisc, o.Width
	case [3]int8{0, -1, 0}, [3]int8{0, -1, 1}:
		o.Shape, o.Width = ShapeDisc, o.Length
	case [3]int8{-1, 1, -1}, [3]int8{1, -1, -1}: // lying along the positive one
		o.Shape = ShapeCylinder
	case [3]int8{-1, 0, -1}, [3]int8{0, -1, -1}, [3]int8{1, 0, 1}, [3]int8{0, 1, 1}, [3]int8{0, 0, -1},
		[3]int8{0, 0, 1}:
		o.Shape = ShapeUpright
	default:
		o.Shape = ShapeRectangle
	}
	return o
}

// lm63 gives width, length, height in metres with their signs.
func (o Opening) lm63() (w, l, h float64) {
	s := o.signs
	if s == [3]int8{} && o.Shape != ShapePoint {
		s = o.defaultSigns()
	}
	put := func(v float64, sign int8) float64 {
		if sign == 0 {
			return 0
		}
		return v * float64(sign)
	}
	return put(o.Width, s[0]), put(o.Length, s[1]), put(o.Height, s[2])
}

func (o Opening) defaultSigns() [3]int8 {
	up := func(v float64, s int8) int8 {
		if v > 0 {
			return s
		}
		return 0
	}
	switch o.Shape {
	case ShapeDisc:
		return [3]int8{-1, -1, up(o.Height, 1)}
	case ShapeSphere:
		return [3]int8{-1, -1, -1}
	case ShapeCylinder:
		if o.Length >= o.Width {
			return [3]int8{-1, 1, -1}
		}
		return [3]int8{1, -1, -1}
	}
	return [3]int8{up(o.Width, 1), up(o.Length, 1), up(o.Height, 1)}
}
