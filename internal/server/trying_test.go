package server

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"math"
	"strings"
	"sync"
	"testing"
	"time"
)

// tryShot asks for a small picture and gives it with the time that it took.
func tryShot(c *client, setup int, a TryAsk) (image.Image, time.Duration) {
	c.t.Helper()
	began := time.Now()
	res, b := c.do("POST", fmt.Sprintf("/api/setup/%d/try.png", setup), a)
	if res.StatusCode != 200 || res.Header.Get("Content-Type") != "image/png" {
		c.t.Fatalf("a small picture: %d %s", res.StatusCode, b)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		c.t.Fatal(err)
	}
	return img, time.Since(began)
}

// grey gives the mean of a picture's green, 0 to 1.
func grey(img image.Image) float64 {
	s, b := 0.0, img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			_, g, _, _ := img.At(x, y).RGBA()
			s += float64(g) / 0xffff
		}
	}
	return s / float64(b.Dx()*b.Dy())
}

// TestTry: a change is tried without being made; what it does to the light is what the same change
// does when it is made.
func TestTry(t *testing.T) {
	c := start(t, Options{})
	st := c.state()
	base := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?word=fine", nil)
	for end := time.Now().Add(3 * time.Minute); base.Word != "fine"; { // on a busy machine others come first
		if time.Now().After(end) {
			t.Fatal("no fine readings")
		}
		base = ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?word=fine", nil)
	}
	dark := TryAsk{Revision: st.Good, Edits: []Edit{{Set: "setups[0].lights[0].off", Value: "true"},
		{Set: "setups[0].camera.iso", Value: "100"}}, Side: 96}
	x := ask[TryView](c, 200, "POST", "/api/setup/0/try", dark)
	if x.Readings == nil || !x.View.Lights[0].Off {
		t.Fatalf("the tried setup is %+v", x.View.Lights[0])
	}
	if a, b := *base.Readings.Points[0].Stops, *x.Readings.Readings.Points[0].Stops; b > a-1.9 {
		t.Errorf(
			"at ISO 100 instead of 400, the key off, point 1 moves from %+.2f to %+.2f, want two stops down at least",
			a, b)
	}
	// Only settings: the measured light stands, so a stop of power is a stop of its light.
	y := ask[TryView](c, 200, "POST", "/api/setup/0/try",
		TryAsk{Revision: st.Good, Edits: []Edit{{Set: "setups[0].camera.iso", Value: "200"}}})
	for i := range base.Readings.Points {
		if a, b := base.Readings.Points[i].Stops, y.Readings.Readings.Points[i].Stops; math.Abs(*a-1-*b) > 1e-9 {
			t.Errorf("%s at half the ISO: %+.4f, then %+.4f", base.Readings.Points[i].Name, *a, *b)
		}
	}
	// A coarse picture is small and holds the same light; where a finer one is there it is that.
	coarse, _ := tryShot(c, 0, TryAsk{Revision: st.Good, Side: 96, Coarse: true})
	if b := coarse.Bounds(); b.Dy() != coarseSide {
		t.Errorf("the coarse picture is %v, want %d high", b, coarseSide)
	}
	is, first := tryShot(c, 0, TryAsk{Revision: st.Good, Side: 96})
	if b := is.Bounds(); b.Dx() != 64 || b.Dy() != 96 {
		t.Errorf("the picture is %v, want 64 × 96", b)
	}
	// Two samples a pixel of 43 × 64, denoised: within a fifth of the finer picture's mean.
	if a, b := grey(is), grey(coarse); math.Abs(a-b) > 0.2*a {
		t.Errorf("the coarse picture's mean is %.3f, the finer one's %.3f", b, a)
	}
	if now, _ := tryShot(c, 0, TryAsk{Revision: st.Good, Side: 96, Coarse: true}); now.Bounds().Dy() != 96 {
		t.Errorf("a coarse picture is given, %v, though a finer one is there", now.Bounds())
	}
	would, second := tryShot(c, 0, TryAsk{Revision: st.Good, Edits: []Edit{{Set: "setups[0].camera.iso", Value: "100"}},
		Side: 96})
	if a, b := grey(is), grey(would); b > 0.75*a {
		t.Errorf("two stops down the picture's mean is %.3f, before %.3f", b, a)
	}
	_, again := tryShot(c, 0, TryAsk{Revision: st.Good, Side: 96})
	t.Logf("first picture %v, with another setting %v, again %v", first, second, again)
	if now := c.state(); now.Revision != st.Revision || now.Undo != "" {
		t.Errorf("trying has changed the shoot: %+v", now)
	}
	for _, bad := range []struct {
		status int
		a      TryAsk
	}{
		{409, TryAsk{Revision: 99}},
		{400, TryAsk{Revision: st.Good, Side: 5000}},
		{422, TryAsk{Revision: st.Good, Edits: []Edit{{Set: "setups[0].lights[0].head", Value: "moon"}}}},
		{422, TryAsk{Revision: st.Good, Edits: []Edit{{Delete: "setups[0].camera"}}}},
	} {
		if res, b := c.do("POST", "/api/setup/0/try.png", bad.a); res.StatusCode != bad.status {
			t.Errorf("%+v: %d %s, want %d", bad.a, res.StatusCode, b, bad.status)
		}
	}
}

// TestOrder duplicates a setup, names the copy, moves it and takes it away: one step each, by name,
// comments kept.
func TestOrder(t *testing.T) {
	c := start(t, Options{})
	names := func(s State) (out []string) {
		for _, x := range s.Setups {
			out = append(out, x.Name)
		}
		return out
	}
	was := ask[TextView](c, 200, "GET", "/api/text", nil).Text
	st := c.edit("duplicate Aisle", "", Edit{Copy: "setups[0]", Value: "1"},
		Edit{Set: "setups[1].name", Value: "Aisle 2"})
	if got := names(st); len(got) != 4 || got[1] != "Aisle 2" || st.Step != 1 || st.Undo != "duplicate Aisle" {
		t.Fatalf("%v, step %d, undo %q", got, st.Step, st.Undo)
	}
	st = c.edit("put Aisle 2 last", "", Edit{Move: "setups[1]", Value: "3"})
	if got := names(st); got[3] != "Aisle 2" || st.Step != 2 {
		t.Errorf("%v, step %d", got, st.Step)
	}
	st = c.edit("delete Aisle 2", "", Edit{Delete: "setups[3]"})
	if got := names(st); len(got) != 3 {
		t.Errorf("%v", got)
	}
	// a blank line is left at the end
	if now := ask[TextView](c, 200, "GET", "/api/text", nil).Text; strings.TrimSpace(now) != strings.TrimSpace(was) {
		t.Error("the text is not as it was")
	}
	st = ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
	if got := names(st); len(got) != 4 || st.Step != 2 {
		t.Errorf("undo gives %v, step %d", got, st.Step)
	}
}

// TestCoarseFirst: whatever is computed of readings and of pictures, and would never end, gives way
// to a small coarse picture, of each setup as it is and of a part that is tried, however busy the
// machine is.
func TestCoarseFirst(t *testing.T) {
	c := start(t, Options{})
	st := c.state()
	for rank := rankBetter; rank <= rankFilm; rank++ {
		begun, done := make(chan struct{}), make(chan struct{})
		var once sync.Once
		c.s.engine.queue.put(&task{key: fmt.Sprintf("endless %d", rank), rank: rank,
			run: func(ctx context.Context) bool {
				once.Do(func() { close(begun) })
				select {
				case <-ctx.Done():
					return true
				case <-done:
					return false
				}
			}})
		<-begun
		asks := []TryAsk{{Edits: []Edit{{Set: "setups[0].camera.at", Value: fmt.Sprintf("[5.%d, 1.9]", rank)}}}}
		if rank == rankBetter {
			asks = append(asks, TryAsk{}, TryAsk{}, TryAsk{})
		}
		for i, a := range asks {
			a.Revision, a.Side, a.Coarse = st.Good, 96, true
			if img, _ := tryShot(c, max(0, i-1), a); max(img.Bounds().Dx(), img.Bounds().Dy()) != coarseSide {
				t.Errorf("under rank %d the coarse picture is %v, want %d at its longer side", rank, img.Bounds(),
					coarseSide)
			}
		}
		close(done)
	}
}
