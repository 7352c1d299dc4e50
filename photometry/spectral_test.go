package photometry

import (
	"math"
	"reflect"
	"testing"
)

const spdx = `<?xml version="1.0" encoding="UTF-8"?>
<IESTM2714 version="1.0" xmlns="http://www.ies.org/iestm2714">
	<Header><Description>a synthetic lamp &amp; more</Description><Unknown>x</Unknown></Header>
	<SpectralDistribution>
		<SpectralQuantity>relative</SpectralQuantity>
		<BandwidthFWHM>2.0</BandwidthFWHM>
		<SpectralData wavelength="400.0">0.034</SpectralData>
		<SpectralData wavelength="403.1">0.037</SpectralData>
		<SpectralData wavelength="405.5">0.069</SpectralData>
	</SpectralDistribution>
</IESTM2714>
`

const cgatsText = `SPECT

DESCRIPTOR "a synthetic lamp"
MEAS_TYPE "EMISSION"
SPECTRAL_BANDS "3"
SPECTRAL_START_NM "400.000000"
SPECTRAL_END_NM "700.000000"
SPECTRAL_NORM "100.000000"
NUMBER_OF_FIELDS 4
BEGIN_DATA_FORMAT
SAMPLE_ID SPEC_400 SPEC_550 SPEC_700
END_DATA_FORMAT
NUMBER_OF_SETS 1
BEGIN_DATA
1 50.0 100 25
END_DATA
`

func TestSpectral(t *testing.T) {
	s, list := ParseSpectral("a.spdx", []byte(spdx))
	if s == nil {
		t.Fatal(list.Text())
	}
	if want := [][2]float64{{400, 0.034}, {403.1, 0.037}, {405.5, 0.069}}; !reflect.DeepEqual(s.Pairs, want) ||
		s.Name != "a synthetic lamp & more" || s.Quantity != "relative" {
		t.Errorf("%+v", s)
	}
	again, list := ParseSpectral("b.spdx", WriteTM27(s))
	if !reflect.DeepEqual(s, again) {
		t.Errorf("%+v became %+v: %s", s, again, list.Text())
	}
	c, list := ParseSpectral("a.sp", []byte(cgatsText))
	if c == nil {
		t.Fatal(list.Text())
	}
	if want := [][2]float64{{400, 0.5}, {550, 1}, {700, 0.25}}; !reflect.DeepEqual(c.Pairs, want) ||
		c.Name != "a synthetic lamp" {
		t.Errorf("%+v", c)
	}
	for _, bad := range []string{"", "<x/>", "<IESTM2714><SpectralData wavelength='x'>1</SpectralData></IESTM2714>",
		"BEGIN_DATA\n1", "<!DOCTYPE a [<!ENTITY b 'c'>]><IESTM2714/>",
		"<IESTM2714><SpectralData wavelength='400'>-1</SpectralData><SpectralData " +
			"wavelength='500'>1</SpectralData></IESTM2714>"} {
		if s, list := ParseSpectral("bad", []byte(bad)); s != nil || len(list) != 1 {
			t.Errorf("%q: %+v, %d messages", bad, s, len(list))
		}
	}
}

func FuzzSpectral(f *testing.F) {
	f.Add([]byte(spdx))
	f.Add([]byte(cgatsText))
	f.Add([]byte("<IESTM2714><SpectralData wavelength='400'>1e400</SpectralData>"))
	f.Fuzz(func(t *testing.T, src []byte) {
		s, list := ParseSpectral("f", src)
		if s == nil {
			if len(list) == 0 {
				t.Fatal("refused without a word")
			}
			return
		}
		for i, p := range s.Pairs {
			if !(p[0] > 0) || !(p[1] >= 0) || math.IsInf(p[1], 0) || i > 0 && !(p[0] > s.Pairs[i-1][0]) {
				t.Fatalf("pair %d is %v", i, p)
			}
		}
	})
}
