package spectrum

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// near fails the test where got is further than tol from want; id is the row of the reference
// values.
func near(t *testing.T, id string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", id, got, want, tol)
	}
}

// readTest reads a table of testdata with the reader of the embedded ones.
func readTest(t testing.TB, file string) (names []string, rows [][]float64) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(b), "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		cells := strings.Split(line, ",")
		if names == nil {
			names = cells
			continue
		}
		row := make([]float64, len(cells))
		for i, c := range cells {
			row[i], _ = strconv.ParseFloat(c, 64)
		}
		rows = append(rows, row)
	}
	return names, rows
}

// E1. Source: CIE 015 tables; the sums are 5 nm sums, here compared at 1 nm: the tolerance is that
// of the reference list.
func TestObserver(t *testing.T) {
	sum := 0.0
	for i := 0; i < gridCount; i += 5 {
		sum += cmf[1][i]
	}
	near(t, "E1.1", sum, 21.371407850, 1e-3)
	table := readTable("cie1931.csv").curve("xbar")
	for i, v := range table.V {
		near(t, "knot", cmf[0][5*i], v, 1e-12)
	}
}

func TestIlluminants(t *testing.T) {
	for _, c := range []struct {
		name string
		x, y float64
	}{{"A", 0.447571433, 0.407440433}, {"D65", 0.312711068, 0.329008484}, {"D50", 0.345668037, 0.358496839}} {
		l, err := Lamp(c.name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "E1."+c.name+"x", l.XY().X, c.x, 1e-4)
		near(t, "E1."+c.name+"y", l.XY().Y, c.y, 1e-4)
		near(t, "Y "+c.name, l.XYZ().Y, 1, 1e-9)
	}
}

func TestPlanck(t *testing.T) {
	near(t, "E1.2", Planck(2856).XY().X, 0.447538385, 2e-4)
}

// spikes turns a table into one line for each sample, so that its sums are those of the table's own
// step, end samples counted in full: that is how the reference figures were summed (a band of 61
// samples at 5 nm counts as 305 nm).
func spikes(c Curve) Curve {
	var lines []Line
	for i, v := range c.V {
		if nm := c.Start + c.Step*float64(i); nm >= gridStart {
			lines = append(lines, Line{nm, v})
		}
	}
	return OfLines(lines)
}

func TestEfficacy(t *testing.T) {
	// D65 in the table ends at 780 nm.
	near(t, "E1.3", spikes(readTable("illuminants.csv").curve("D65")).Efficacy(), 197.9596, 0.5)
	band := Curve{400, 5, make([]float64, 61)}
	for i := range band.V {
		band.V[i] = 1
	}
	near(t, "E1.4", spikes(band).Efficacy(), 239.172, 0.5)
}

// E2. The published case uv (0.1978, 0.3122) and the illuminants.
func TestCCT(t *testing.T) {
	A, _ := Lamp("A")
	d50, _ := Lamp("D50")
	d65, _ := Lamp("D65")
	for _, c := range []struct {
		ids            [3]string
		c              XY
		ohno, duv, rob float64
		tolT, tolD     float64
		tolR           float64
	}{
		{[3]string{"E2.1", "E2.2", "E2.3"}, XYOfUV1960(0.1978, 0.3122), 6507.4537, 0.003223878, 6506.878, 2, 2e-5, 1},
		{[3]string{"E2.4", "E2.5", "E2.6"}, A.XY(), 2855.578, 5.5708e-7, 2855.656, 3, 5e-5, 3},
		{[3]string{"E2.7", "E2.8", "E2.9"}, d50.XY(), 5001.8705, 0.0032045, 5001.8628, 3, 5e-5, 3},
		{[3]string{"E2.10", "E2.11", "E2.12"}, d65.XY(), 6503.6318, 0.00320617, 6503.0399, 3, 5e-5, 3},
	} {
		T, D, ok := CCTOhno2013(c.c)
		R, okR := CCTRobertson1968(c.c)
		if !ok || !okR {
			t.Errorf("%v: not ok", c.ids)
		}
		near(t, c.ids[0], T, c.ohno, c.tolT)
		near(t, c.ids[1], D, c.duv, c.tolD)
		near(t, c.ids[2], R, c.rob, c.tolR)
	}
}

// D9. Source: CIE 015; published values as named in the reference list.
func TestDaylightSeries(t *testing.T) {
	near(t, "D9.1", DaylightXY(6504).X, 0.312714057, 1e-4)
	near(t, "D9.2", DaylightXY(6504).Y, 0.329119099, 2e-4)
	near(t, "D9.3", DaylightXY(4000).X, 0.382343625, 1e-9)
	near(t, "D9.4", DaylightXY(4000).Y, 0.3837662610, 1e-9)
	near(t, "D9.5", DaylightXY(7000).X, 0.3053574315, 1e-9)
	near(t, "D9.6", DaylightXY(7000).Y, 0.3216463455, 1e-9)
	T := 6500 * 1.4388 / 1.4380
	m1, m2 := DaylightWeights(T)
	near(t, "D9.7", m1, -0.295, 1e-6)
	near(t, "D9.8", m2, -0.689, 1e-6)
	s := Daylight(T)
	near(t, "D9.9", s.At(450)/s.At(560)*100, 117.008, 0.05)
	near(t, "D9.10", s.At(650)/s.At(560)*100, 80.0268, 0.05)
}

// E3. Source: Sharma, Wu, Dalal 2005, Table 1: all 34 pairs within 1e-4, the rounding of the table.
func TestDeltaE2000(t *testing.T) {
	_, rows := readTest(t, "ciede2000.csv")
	if len(rows) != 34 {
		t.Fatalf("%d pairs", len(rows))
	}
	worst := 0.0
	for _, r := range rows {
		a, b := Lab{r[0], r[1], r[2]}, Lab{r[3], r[4], r[5]}
		worst = math.Max(worst, math.Abs(DeltaE2000(a, b)-r[6]))
		worst = math.Max(worst, math.Abs(DeltaE2000(b, a)-r[6]))
	}
	near(t, "E3.1", worst, 0, 6e-5)
	t.Logf("worst %.2g", worst)
}

func TestAdaptation(t *testing.T) {
	m := Bradford(WhiteD65, WhiteD50)
	for _, c := range []struct {
		id   string
		i, j int
		want float64
	}{{"E4.1", 0, 0, 1.0478112}, {"E4.2", 0, 1, 0.0228866}, {"E4.3", 0, 2, -0.0501270}, {"E4.4", 1, 0, 0.0295424},
		{"E4.5", 1, 1, 0.9904844}, {"E4.6", 2, 2, 0.7521316}} {
		near(t, c.id, m[c.i][c.j], c.want, 3e-5)
	}
	v := CAT16(WhiteD65, WhiteA).XYZ(XYZ{0.5, 0.5, 0.5})
	near(t, "E4.7", v.X, 0.5797763, 1e-4)
	near(t, "E4.8", v.Y, 0.5005822, 1e-4)
	near(t, "E4.9", v.Z, 0.1621446, 1e-4)
	w := CAT16(WhiteD65, WhiteA).XYZ(WhiteD65)
	near(t, "white to white", w.X, WhiteA.X, 1e-9)
}

// E7. Line data from memory; the powers of mercury are an assumption. Tolerance of the reference
// list; it reads the observer straight between 5 nm, this room through a spline.
func TestDischarge(t *testing.T) {
	n := Neon()
	near(t, "E7.5", n.XY().X, 0.6704070, 1e-3)
	near(t, "E7.6", n.XY().Y, 0.3293493, 1e-3)
	near(t, "E7.7", n.Efficacy(), 171.461, 1)
	h := MercuryArgon()
	near(t, "E7.8", h.XY().X, 0.2275982, 1e-3)
	near(t, "E7.9", h.XY().Y, 0.2673458, 1e-3)
	// The trap: handbook intensities as powers make neon an amber, and an uncalibrated lamp record
	// makes mercury green.
	lines := func(file string, nm, p int) Curve {
		_, rows := readTest(t, file)
		var l []Line
		for _, r := range rows {
			if r[nm] < 690 || file != "mercury_uncalibrated.csv" {
				l = append(l, Line{r[nm], r[p]})
			}
		}
		return OfLines(l)
	}
	amber := lines("neon_uncalibrated.csv", 0, 1).XY()
	near(t, "E7.1", amber.X, 0.566986, 1e-3)
	near(t, "E7.2", amber.Y, 0.429309, 1e-3)
	green := lines("mercury_uncalibrated.csv", 1, 2).XY()
	near(t, "E7.3", green.X, 0.273392, 1e-3)
	near(t, "E7.4", green.Y, 0.442934, 1e-3)
}

// E8. Source: NIST colour quality workbook spectra; figures derived at 5 nm.
func TestMeasuredLamps(t *testing.T) {
	for _, c := range []struct {
		ids          [2]string
		name, column string
		T, duv       float64
	}{
		{[2]string{"E8.1", "E8.2"}, "mercury lamp", "mercury_lamp", 3753.419, 6.849e-5},
		{[2]string{"E8.3", "E8.4"}, "measured white led", "led_yag_white", 6814.138, 0.0038228},
		{[2]string{"E8.5", "E8.6"}, "sodium", "high_pressure_sodium", 2071.268, 0.0011761},
		{[2]string{"E8.7", "E8.8"}, "fluorescent cool white", "fluorescent_cool_white", 4290.426, 0.00147573},
		{[2]string{"E8.9", "E8.10"}, "measured triphosphor", "fluorescent_triphosphor", 3379.911, 0.0008235},
	} {
		l, err := Lamp(c.name)
		if err != nil {
			t.Fatal(err)
		}
		T, D, _ := CCTOhno2013(l.XY())
		near(t, c.ids[0]+" as a lamp", T, c.T, 5)
		// Read straight between 5 nm samples, a line spreads over its neighbours: Duv moves by up
		// to 1.2e-4. The 5 nm sum itself:
		near(t, c.ids[1]+" as a lamp", D, c.duv, 1.5e-4)
		T, D, _ = CCTOhno2013(spikes(readTable("lamps.csv").curve(c.column)).XY())
		near(t, c.ids[0], T, c.T, 5)
		near(t, c.ids[1], D, c.duv, 1e-4)
	}
}

// E6. Source: derived from Gaussian primaries (shapes from memory).
func TestPrimaries(t *testing.T) {
	for _, c := range []struct {
		id          string
		peak, width float64
		x, y        float64
	}{{"E6.1-2", 630, 18, 0.7036310, 0.2962853}, {"E6.3-4", 525, 33, 0.1475923, 0.7657254},
		{"E6.5-6", 465, 22, 0.1352901, 0.0456110}} {
		g := Gaussian(c.peak, c.width).XY()
		near(t, c.id, g.X, c.x, 2e-4)
		near(t, c.id, g.Y, c.y, 2e-4)
	}
}

// E9.
func TestLightness(t *testing.T) {
	near(t, "E9.1", XYZ{0.18, 0.18, 0.18}.Lab(XYZ{1, 1, 1}).L, 49.4961, 1e-3)
	near(t, "E9.2", XYZ{0.005, 0.005, 0.005}.Lab(XYZ{1, 1, 1}).L, 4.51648, 1e-3)
	near(t, "E9.3", 255*Encode(0.18), 117.646, 0.5)
	for _, v := range []float64{0, 0.001, 0.2, 0.7, 1} {
		near(t, "round trip", Decode(Encode(v)), v, 1e-12)
		c := XYZ{v, 0.8 * v, 0.3 * v}
		near(t, "Lab round trip", c.Lab(WhiteD65).XYZ(WhiteD65).X, c.X, 1e-12)
	}
}
