package photometry

import (
	"math"
	"os"
	"path/filepath"
	"testing"
)

func seeds(f *testing.F) {
	// small: a long seed is a slow try
	for _, name := range []string{"cosine.ies", "cosine.ldt", "spot.ies", "spot.ldt"} {
		src, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src)
	}
	for _, s := range []string{"", "TILT=NONE", "TILT=INCLUDE\n1\n99999999",
		"IESNA91\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0 1 1 0 0 90 0 1 nan", "a\n1\n4\n0",
		"IES:LM-63-2019\nTILT=NONE\n1 -1 1 2 2 3 2 0 0 0 1 1 0 -90 90 -90 90 1 2 3 4",
		"TILT=NONE 1 1 1e308 2 1 1 2 0 0 0 9 9 9 0 90 0 1e308 1\n1 1 1e300 2 1 1 2 0 0 0 1e300 1 0 0 90 0 1e308 1"} {
		f.Add([]byte(s))
	}
}

// sound looks at a web that a parser made of anything.
func sound(t *testing.T, w *Web) {
	flux := w.Flux()
	if !(flux >= 0) || math.IsInf(flux, 0) {
		t.Fatalf("flux %g", flux)
	}
	for _, u := range []float64{0, 0.1, 0.5, 0.999999} {
		d, pdf := w.Sample(u, 1-u/2)
		if !d.Finite() || !(pdf >= 0) || math.IsInf(pdf, 0) {
			t.Fatalf("sample %v, pdf %g", d, pdf)
		}
		if c := w.Candela(d); !(c >= 0) || c > w.MaxCandela()*(1+1e-9) {
			t.Fatalf("%g cd of at most %g", c, w.MaxCandela())
		}
	}
}

func FuzzLM63(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, src []byte) {
		w, list := lm63("f.ies", src)
		if w == nil {
			if len(list) == 0 {
				t.Fatal("refused without a word")
			}
			return
		}
		sound(t, w)
		again, list := lm63("g.ies", WriteLM63(w))
		if again == nil {
			t.Fatalf("what was written is not read: %s", list.Text())
		}
		same(t, "fuzz", w, again, 0)
	})
}

func FuzzEULUMDAT(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, src []byte) {
		w, list := eulumdat("f.ldt", src)
		if w == nil {
			if len(list) == 0 {
				t.Fatal("refused without a word")
			}
			return
		}
		sound(t, w)
		if w.Flux() > 1e-3 && w.Flux() < 1e9 {
			if again, list := eulumdat("g.ldt", WriteEULUMDAT(w)); again == nil {
				t.Fatalf("what was written is not read: %s", list.Text())
			}
		}
	})
}

func FuzzParse(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, src []byte) {
		if w, _ := (Options{}).Parse("f", src); w != nil {
			sound(t, w)
		}
	})
}
