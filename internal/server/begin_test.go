package server

import (
	"math/rand"
	"testing"

	"halfstop/begin"
	"halfstop/diag"
	"halfstop/shoot"
)

// What the page's answers make is a shoot that decodes without a word, at any size that is no
// fault.
func TestBeginText(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	made := 0
	for range 300 {
		a := begin.Usual()
		for _, v := range []*float64{&a.Length, &a.Width, &a.CamX, &a.Far, &a.Stature, &a.Round, &a.KeyFar, &a.Lens} {
			*v *= 0.6 + 0.8*r.Float64()
		}
		a.Upright, a.Seated, a.Left = r.Intn(2) == 0, r.Intn(2) == 0, r.Intn(2) == 0
		a.Modifier = []string{"octa 90", "", " softbox 60x90 "}[r.Intn(3)]
		p, fault := a.Plan("A: “first” #1")
		if fault != nil {
			continue
		}
		made++
		f, _, list := shoot.Parse("shoot.yaml", p.Text(), shoot.Options{})
		if list.Has(diag.Error) || f.Shoot.Title != "A: “first” #1" {
			t.Fatalf("%q: %v\n%s", f.Shoot.Title, list, p.Text())
		}
	}
	if made < 100 {
		t.Errorf("only %d of 300 made a shoot", made)
	}
}
