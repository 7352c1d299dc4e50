package figure

import (
	"math"
	"testing"
)

// Coat and jumper hang: their hems are level all round and lie outside the trousers. Within two
// cells of the grid they are drawn on.
func TestHemsAreLevel(t *testing.T) {
	for name, c := range map[string]Clothes{"coat": Coat, "jumper": Jumper} {
		for who, p := range map[string]Params{"man": Man(), "woman": Woman()} {
			p.Clothes, p.Detail, p.Hair = c, Far, NoHair
			cell := 0.001 * grains[Far].trunk
			hem := map[[2]int]float64{}   // the lowest of the cloth, by 4 cm across, and front or back
			cloth := map[[2]int]float64{} // how far it stands out there, just over the hem
			legs := map[[2]int]float64{}
			m := Build(p)
			low := math.Inf(1)
			at := func(v [3]float32) [2]int {
				k := [2]int{int(math.Floor(float64(v[0]) / 0.04)), 0}
				if v[1] > 0 {
					k[1] = 1
				}
				return k
			}
			each := func(part Part, do func(v [3]float32)) {
				for i, tri := range m.Tri {
					if m.Part[i] == part {
						for _, k := range tri {
							if v := m.Pos[k]; math.Abs(float64(v[0])) < 0.12 { // sleeves hang beside
								do(v)
							}
						}
					}
				}
			}
			each(Cloth, func(v [3]float32) {
				if k := at(v); hem[k] == 0 || float64(v[2]) < hem[k] {
					hem[k] = float64(v[2])
				}
			})
			for _, z := range hem {
				low = min(low, z)
			}
			for k, z := range hem {
				if z > low+2*cell {
					t.Errorf("%s, %s: at %v the hem is %.0f mm higher than at its lowest", who, name, k, 1000*(z-low))
				}
			}
			over := func(r map[[2]int]float64) func(v [3]float32) {
				return func(v [3]float32) {
					if z := float64(v[2]); z > low+cell && z < low+0.05 {
						r[at(v)] = max(r[at(v)], math.Abs(float64(v[1])))
					}
				}
			}
			each(Cloth, over(cloth))
			each(Trousers, over(legs))
			for k, d := range legs {
				if d > cloth[k] {
					t.Errorf("%s, %s: at %v the trousers stand %.0f mm out of it", who, name, k, 1000*(d-cloth[k]))
				}
			}
			if len(hem) < 12 || len(legs) < 4 {
				t.Errorf("%s, %s: %d places of the hem, %d of the legs", who, name, len(hem), len(legs))
			}
		}
	}
}
