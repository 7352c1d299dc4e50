package begin

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

func ExampleAnswers_Plan() {
	a := Usual()
	a.Length, a.Width = 6, 4
	p, fault := a.Plan("Town hall")
	fmt.Printf("sitter %.1f, %.1f m; fault: %v\n", p.Sitter[0], p.Sitter[1], fault)
	fmt.Println(strings.Split(string(p.Text()), "\n")[2])
	a.CamX = 9
	_, fault = a.Plan("")
	fmt.Println(fault.Text)
	// Output:
	// sitter 3.3, 2.1 m; fault: <nil>
	// shoot: {title: Town hall}
	// The camera stands in a wall or outside the room.
}

// The key stands where it was asked for: far from the face, round from the camera's axis, on its
// side.
func TestKeyPlace(t *testing.T) {
	for _, left := range []bool{true, false} {
		a := Usual()
		a.Left, a.Round, a.KeyFar = left, 40, 1.2
		p, fault := a.Plan("")
		if fault != nil {
			t.Fatal(fault)
		}
		cx, cy := p.Camera[0]-p.Sitter[0], p.Camera[1]-p.Sitter[1]
		kx, ky, up := p.Key[0]-p.Sitter[0], p.Key[1]-p.Sitter[1], p.Key[2]-p.Face()
		if d := math.Hypot(math.Hypot(kx, ky), up); math.Abs(d-1.2) > 1e-9 {
			t.Errorf("the key is %.3f m from the face", d)
		}
		angle := math.Atan2(cx*ky-cy*kx, cx*kx+cy*ky) * 180 / math.Pi // seen from above, anticlockwise
		if math.Abs(math.Abs(angle)-40) > 1e-9 {
			t.Errorf("the key is %.1f° round", angle)
		}
		// From the sitter, who faces the camera, the camera's left is anticlockwise's other side.
		if (angle < 0) != left {
			t.Errorf("left %v: the key is at %.1f°", left, angle)
		}
	}
}

// Answers of any size are a plan or a fault.
func TestAnswersOfAnySize(t *testing.T) {
	odd := []float64{0, -1, 0.3, 2, 50, 1e9, math.Inf(1), math.NaN()}
	for _, v := range odd {
		for k := range 5 {
			a := Usual()
			*[]*float64{&a.Length, &a.CamX, &a.Far, &a.Stature, &a.KeyFar}[k] = v
			if p, fault := a.Plan("x"); fault == nil && strings.Contains(string(p.Text()), "NaN") {
				t.Errorf("answer %d at %v gave a file with no number", k, v)
			}
		}
	}
	if a := (Answers{}); true {
		if _, fault := a.Plan(""); fault == nil || fault.Step != 0 {
			t.Errorf("nothing answered: %v", fault)
		}
	}
}
