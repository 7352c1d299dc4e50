package testframe

import (
	"math"
	"slices"

	"halfstop/learn"
)

// state is what may be the case with one light: as planned, off, without its gel, or one of the
// mistakes that learn knows.
type state struct {
	words string
	log   float64 // logarithm of its prior
	stops float64 // by which it moves the light
	sd    float64 // and how well that is known, stops
	off   bool
	bare  bool
	house bool // a lamp of the place, known as houseSDs at the best
	odd   bool // it is not as planned
}

// Chances before anything is seen; common practice, no source.
const (
	chanceMistaken = 0.1   // a light of the shoot has the wrong cloth, grid, dial
	chanceDark     = 0.03  // it does not burn
	chanceBare     = 0.03  // its gel is not in
	chanceHouse    = 0.05  // a light of the house is the other way round than planned
	chanceCamera   = 0.06  // the exposure is not as planned …
	cameraSD       = 1.3   // … by so many stops
	leak           = 0.003 // what a light that is off may seem to give, of its level as planned
	causeSD        = 0.15  // how far the size of a mistake varies
)

// houseSDs are how well the lamps of the place may be known, stops: metered or drawn by their
// labels, or guessed. Which of the two holds for all of them is not known (a hierarchical prior,
// Gelman et al. 2013, 5): where each lamp reads a stop over, and that by the same, the exposure is
// likelier than so many lamps that chance to agree.
var houseSDs = [2]float64{0.3, 1}

// statesOf lists what may be the case with a light, as planned first.
func statesOf(y *Layer) []state {
	off := state{words: "is off", off: true, odd: true}
	if y.Flash {
		off.words = "did not fire"
	}
	if y.Off {
		return []state{{off: true, log: math.Log(1 - chanceHouse)},
			{words: "is on, and is planned to be off", log: math.Log(chanceHouse), sd: y.SD, house: true, odd: true}}
	}
	if y.House {
		off.log = math.Log(chanceHouse)
		return []state{{log: math.Log(1 - chanceHouse), sd: y.SD, house: true}, off}
	}
	off.log = math.Log(chanceDark)
	out := []state{{log: math.Log(1 - chanceMistaken - chanceDark), sd: y.SD}, off}
	for _, c := range learn.Mistakes() {
		if c.Shows != "" {
			continue // a gel shows by its colour, another light by its shadows
		}
		out = append(out, state{words: c.Words, log: math.Log(chanceMistaken * c.Share), stops: c.Stops,
			sd: math.Hypot(y.SD, causeSD), odd: true})
	}
	if y.Bare != nil {
		out = append(out, state{words: "its gel is missing", log: math.Log(chanceBare), sd: y.SD, bare: true,
			odd: true})
	}
	return out
}

// weight is a light's weight in this state, before anything is seen, at an exposure that is off by
// so many stops, with lamps of the place known to house stops: mean and standard deviation.
func (s *state) weight(stops, house float64) (mean, sd float64) {
	if s.off { // what leaks in of other things
		return 0, leak
	}
	known := s.sd
	if s.house {
		known = max(known, house)
	}
	v := math.Exp2(s.stops + stops)
	return v, v * math.Ln2 * max(0.05, min(known, 1))
}

// sums are what the weights of lights need to know of a photograph: products of the lights'
// pictures with one another and with it, channel by channel, so that a white balance is a factor.
// Where a light has a picture without its gels that is a column of its own.
type sums struct {
	gram [3][][]float64
	rhs  [3][]float64
	all  [3]float64
	n    float64
	bare []int // of each light, its column without gels; -1
	unit float64
}

func summed(photo *weighed, layers []Layer, bright []bool) *sums {
	s := &sums{}
	var cols []*Image
	for l := range layers {
		cols = append(cols, &layers[l].Image)
		s.bare = append(s.bare, -1)
	}
	for l := range layers {
		if layers[l].Bare != nil {
			s.bare[l] = len(cols)
			cols = append(cols, layers[l].Bare)
		}
	}
	n := len(cols)
	for c := range s.gram {
		s.rhs[c] = make([]float64, n)
		for range n {
			s.gram[c] = append(s.gram[c], make([]float64, n))
		}
	}
	for i, o := range photo.RGB {
		wt := photo.wt[i]
		if bright[i] || wt == 0 {
			continue
		}
		for c := range 3 {
			s.all[c] += wt * o[c] * o[c]
			s.n++
			for a := range n {
				v := wt * cols[a].RGB[i][c]
				s.rhs[c][a] += v * o[c]
				for b := 0; b <= a; b++ {
					s.gram[c][a][b] += v * cols[b].RGB[i][c]
				}
			}
		}
	}
	return s
}

// problem is that of the weights under a white balance, with the columns that bare says.
func (s *sums) problem(gain [3]float64, bare []bool) *problem {
	n := len(bare)
	p := &problem{gram: make([][]float64, n), rhs: make([]float64, n), n: s.n}
	col := func(l int) int {
		if bare[l] {
			return s.bare[l]
		}
		return l
	}
	for a := range n {
		p.gram[a] = make([]float64, n)
		for c := range 3 {
			p.rhs[a] += gain[c] * s.rhs[c][col(a)]
			for b := range n {
				hi, lo := max(col(a), col(b)), min(col(a), col(b))
				p.gram[a][b] += gain[c] * gain[c] * s.gram[c][hi][lo]
			}
		}
	}
	for c := range 3 {
		p.all += s.all[c]
	}
	return p
}

// guess is one whole explanation: a state for each light, the exposure, the white balance.
type guess struct {
	is    []int
	stops float64
	log   float64 // of its posterior, not normalized
	w     []float64
	house float64 // of houseSDs, the likelier
}

// model weighs explanations of one photograph.
type model struct {
	*sums
	states [][]state
	house  bool // there are lamps of the place
	gain   [3]float64
	tried  map[string]*guess
	step   func() bool // a step of explainSteps is done; false: the search is to end
}

// weigh gives the logarithm of a guess's posterior, with the weights that go with it. A weight is
// normally distributed about its mean with its state's standard deviation, and the photograph about
// the weighted sum: then the integral over the weights has a closed form (a linear Gaussian model,
// Rasmussen and Williams 2006, 2.1).
func (m *model) weigh(is []int, stops float64) *guess {
	key := string(append([]byte{byte(int(math.Round(stops*20)) + 128)}, bytesOf(is)...))
	if g := m.tried[key]; g != nil {
		return g
	}
	g := &guess{is: slices.Clone(is), stops: stops}
	m.tried[key] = g
	for l, k := range is {
		g.log += m.states[l][k].log
	}
	if stops == 0 {
		g.log += math.Log(1 - chanceCamera)
	} else {
		g.log += math.Log(chanceCamera * exposurePrior(stops))
	}
	var log [len(houseSDs)]float64
	for i, sd := range houseSDs {
		if i > 0 && !m.house {
			log[i] = log[0]
			break
		}
		var w []float64
		if log[i], w = m.evidence(is, stops, sd); g.w == nil || log[i] > log[0] {
			g.w, g.house = w, sd
		}
	}
	top := max(log[0], log[1])
	g.log += top + math.Log(math.Exp(log[0]-top)/2+math.Exp(log[1]-top)/2)
	return g
}

// evidence is the logarithm of how likely a photograph is under a guess, but for what is the same
// for all, and the weights that go with it.
func (m *model) evidence(is []int, stops, house float64) (log float64, w []float64) {
	var col []int
	var mean, sd []float64
	for l, k := range is {
		st := &m.states[l][k]
		c := l
		if st.bare {
			c = m.bare[l]
		}
		v, d := st.weight(stops, house)
		col, mean, sd = append(col, c), append(mean, v), append(sd, d)
	}
	w = make([]float64, len(is))
	n := len(col)
	a := make([][]float64, n)
	b := make([]float64, n)
	left := 0.0
	for c := range 3 {
		left += m.all[c] * m.unit
	}
	for i := range n {
		a[i] = make([]float64, n)
		p := 1 / (sd[i] * sd[i])
		b[i] = mean[i] * p
		left += mean[i] * mean[i] * p
		log -= math.Log(sd[i])
		for c := range 3 {
			b[i] += m.unit * m.gain[c] * m.rhs[c][col[i]]
			for j := range i + 1 {
				hi, lo := max(col[i], col[j]), min(col[i], col[j])
				a[i][j] += m.unit * m.gain[c] * m.gain[c] * m.gram[c][hi][lo]
			}
		}
		a[i][i] += p
	}
	x, logDet := cholesky(a, b)
	for i := range n {
		left -= x[i] * b[i]
		w[i] = max(0, x[i])
	}
	return log - logDet/2 - left/2, w
}

func bytesOf(is []int) []byte {
	out := make([]byte, len(is))
	for i, k := range is {
		out[i] = byte(k)
	}
	return out
}

// cholesky solves a·x = b for a symmetric positive definite a, given by its lower half, and gives
// the logarithm of its determinant. It writes over a.
func cholesky(a [][]float64, b []float64) (x []float64, logDet float64) {
	n := len(b)
	x = slices.Clone(b)
	for i := range n {
		for j := range i + 1 {
			v := a[i][j]
			for k := range j {
				v -= a[i][k] * a[j][k]
			}
			if i == j {
				a[i][i] = math.Sqrt(max(v, 1e-12))
				logDet += 2 * math.Log(a[i][i])
			} else {
				a[i][j] = v / a[j][j]
			}
		}
		for k := range i {
			x[i] -= a[i][k] * x[k]
		}
		x[i] /= a[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= a[k][i] * x[k]
		}
		x[i] /= a[i][i]
	}
	return x, logDet
}

// exposurePrior is the chance of one of the exposures that are tried, of one that is not as
// planned. Half of the slips are whole stops: a click of three, a filter, a sensitivity; common
// practice, no source.
func exposurePrior(stops float64) float64 {
	normal := func(v float64) float64 {
		return math.Exp(-v*v/(2*cameraSD*cameraSD)) / (cameraSD * math.Sqrt(2*math.Pi))
	}
	p := normal(stops) * exposureStep / 2
	if math.Abs(stops-math.Round(stops)) < exposureStep/2 {
		p += normal(stops) / (1 - normal(0)) / 2 // of 1, 2, 3 … and as many under: all but 0 of a sum of 1
	}
	return p
}

// exposureStep is between the exposures that are tried, stops.
const exposureStep = 0.1

// explainSteps is how many steps a search has for who watches it.
const explainSteps = 31 + 1

// search goes from 'all as planned' at each exposure to better explanations, one light at a time,
// and then two at a time from the best.
func (m *model) search() *guess {
	var best *guess
	keep := func(g *guess) *guess {
		if best == nil || g.log > best.log {
			best = g
		}
		return g
	}
	plain := make([]int, len(m.states))
	climb := func(from []int, stops float64) {
		at := keep(m.weigh(from, stops))
		for range 4 {
			was := at
			for l := range m.states {
				for k := range m.states[l] {
					is := slices.Clone(at.is)
					is[l] = k
					if g := keep(m.weigh(is, stops)); g.log > at.log {
						at = g
					}
				}
			}
			if at == was {
				break
			}
		}
	}
	for i := -30; i <= 30; i += 2 {
		if climb(plain, float64(i)*exposureStep); !m.step() {
			return best
		}
	}
	at := best
	for l := range m.states { // what another state of two lights at once gives
		for k := l + 1; k < len(m.states) && len(m.states) <= 8; k++ {
			for a := range m.states[l] {
				for b := range m.states[k] {
					is := slices.Clone(at.is)
					is[l], is[k] = a, b
					keep(m.weigh(is, at.stops))
				}
			}
		}
	}
	for d := -3; d <= 3; d++ {
		climb(best.is, best.stops+float64(d)*exposureStep)
	}
	climb(best.is, 0)
	m.step()
	return best
}
