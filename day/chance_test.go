package day

import (
	"context"
	"math"
	"reflect"
	"testing"
)

func one(id string, d Duration, hands int, after ...Link) Task {
	return Task{ID: id, Dur: d, Hands: hands, Who: []string{"light"}, After: after}
}

// simple is a day of one setup whose change is the given tasks; the picture takes no time.
func simple(people int, leave int, tasks ...Task) *Plan {
	p := &Plan{Last: -1, Leave: leave}
	for range people {
		p.People = append(p.People, Person{Skills: []string{"light"}})
	}
	p.Setups = []Setup{{Name: "A", Priority: 1, Shoot: Task{ID: "A/shoot"}}}
	p.Change = func(int, int, uint) ([]Task, bool) { return tasks, true }
	return p
}

// TestTwoParallel: two tasks side by side are both over with the product of their chances.
func TestTwoParallel(t *testing.T) {
	a, b := Duration{2, 5, 14}, Duration{3, 8, 10}
	for _, m := range []float64{8, 9, 9.5} {
		p := simple(2, int(m*60), one("a", a, 1), one("b", b, 1))
		p.Leave = 10000
		d, err := p.Solve(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		p.Leave = int(m * 60)
		c := p.Simulate(d, 20000, 1)
		want := a.CDF(m*60) * b.CDF(m*60)
		// Four standard errors of a share of 20,000.
		if tol := 4 * math.Sqrt(want*(1-want)/20000); math.Abs(c.Setups[0].Done-want) > tol {
			t.Errorf("%g min: %.4f, product of the chances %.4f ± %.4f", m, c.Setups[0].Done, want, tol)
		}
		if !reflect.DeepEqual(p.Simulate(d, 20000, 1).Setups[0], c.Setups[0]) {
			t.Error("the same seed gives other days")
		}
	}
}

// TestChain: a long chain ends by the central limit theorem: sum of means, root of the sum of
// variances, (a²+b²+c²-ab-ac-bc)/18 for a triangle.
func TestChain(t *testing.T) {
	var tasks []Task
	mean, variance := 0.0, 0.0
	for i := range 30 {
		d := Duration{1, 1.5 + float64(i%3), 6}
		mean += (d.Low + d.Likely + d.High) / 3
		variance += (d.Low*d.Low + d.Likely*d.Likely + d.High*d.High - d.Low*d.Likely - d.Low*d.High -
			d.Likely*d.High) / 18
		task := one(string(rune('a'+i)), d, 1)
		if i > 0 {
			task.After = []Link{{Task: i - 1}}
		}
		tasks = append(tasks, task)
	}
	p := simple(1, 0, tasks...)
	d, err := p.Solve(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, z := range []float64{-1, 0, 1, 2} {
		p.Leave = int(60 * (mean + z*math.Sqrt(variance)))
		got := p.Simulate(d, 20000, 7).Setups[0].Done
		want := 0.5 * math.Erfc(-z/math.Sqrt2)
		// Four standard errors, and 0.01 for what thirty skewed terms lack of a normal sum.
		if tol := 4*math.Sqrt(want*(1-want)/20000) + 0.01; math.Abs(got-want) > tol {
			t.Errorf("z = %g: %.4f, normal %.4f ± %.4f", z, got, want, tol)
		}
	}
}

func TestDuration(t *testing.T) {
	d := Duration{1, 2, 7}
	for _, u := range []float64{0, 0.1, 0.5, 0.9, 0.999} {
		if got := d.CDF(d.At(u)); math.Abs(got-u) > 1e-12 {
			t.Errorf("CDF(At(%g)) = %g", u, got)
		}
	}
	for _, bad := range []Duration{{-1, 2, 3}, {3, 2, 4}, {1, 5, 4}, {math.NaN(), 1, 1}, {0, 0, math.Inf(1)}} {
		if bad.Check() == nil {
			t.Errorf("%v was taken", bad)
		}
	}
}

// TestConflicts: days that cannot be name what stands against them.
func TestConflicts(t *testing.T) {
	two := one("fly", Fixed(5), 2)
	p := simple(1, 0, two)
	if d, err := p.Solve(context.Background()); err != nil || len(d.Conflict) != 1 ||
		d.Conflict[0].Code != "day.hands" {
		t.Errorf("a boom that two must fly, and one there: %v %+v", err, d)
	}
	p = simple(1, 0, one("rig", Fixed(30), 1))
	p.Setups[0].Latest = 20 * 60
	d, err := p.Solve(context.Background())
	if err != nil || len(d.Conflict) != 1 || d.Conflict[0].Code != "day.light-gone" {
		t.Errorf("%v %+v", err, d)
	} else if d.Conflict[0].Fix != "begin 10 min earlier" {
		t.Error(d.Conflict[0].Fix)
	}
	a, b := one("a", Fixed(1), 1, Link{Task: 1}), one("b", Fixed(1), 1, Link{Task: 0})
	if _, err := simple(1, 0, a, b).Solve(context.Background()); err == nil {
		t.Error("two tasks that wait for each other were planned")
	}
}

// BenchmarkDay12: 12 setups, 6 people, about 8 tasks a change.
func BenchmarkDay12(b *testing.B) {
	p := manySetups(12, 8)
	for b.Loop() {
		d, err := p.Solve(context.Background())
		if err != nil || len(d.Order) != 12 {
			b.Fatal(err, d)
		}
		b.ReportMetric(float64(d.End-d.Bound), "s-unproven")
	}
}

// BenchmarkSimulate10000: the days of a plan of three setups.
func BenchmarkSimulate10000(b *testing.B) {
	p := manySetups(3, 10)
	d, err := p.Solve(context.Background())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		p.Simulate(d, 10000, 1)
	}
}
