package day

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// The slow oracle: every order of tasks, every set of people for each, each at the earliest gap. It
// shares no code with project.
func slowChange(tasks []Task, people []Person, start int) (int, bool) {
	type busy struct{ from, to int }
	n := len(tasks)
	best, found := 1<<40, false
	begin, end := make([]int, n), make([]int, n)
	placed := make([]bool, n)
	who := make([][]busy, len(people))
	things := map[string][]busy{}
	gap := func(at, dur int, lists [][]busy) int {
		for moved := true; moved; {
			moved = false
			for _, l := range lists {
				for _, b := range l {
					if at < b.to && at+dur > b.from {
						at, moved = b.to, true
					}
				}
			}
		}
		return at
	}
	var place func(left int)
	place = func(left int) {
		if left == 0 {
			e := start
			for i := range tasks {
				e = max(e, end[i])
			}
			best, found = min(best, e), true
			return
		}
		for i := range tasks {
			if placed[i] {
				continue
			}
			at, ok := max(start, tasks[i].NotBefore), true
			for _, l := range tasks[i].After {
				ok = ok && placed[l.Task]
				at = max(at, end[l.Task]+l.Lag)
			}
			if !ok {
				continue
			}
			dur := tasks[i].Dur.Mean()
			var choose func(k int, crew []int)
			choose = func(k int, crew []int) {
				if len(crew) == tasks[i].Hands {
					var lists [][]busy
					for _, q := range crew {
						lists = append(lists, who[q])
					}
					for _, u := range tasks[i].Uses {
						lists = append(lists, things[u])
					}
					s := gap(at, dur, lists)
					if tasks[i].Exactly && s > tasks[i].NotBefore {
						return
					}
					b := busy{s, s + dur}
					for _, q := range crew {
						who[q] = append(who[q], b)
					}
					for _, u := range tasks[i].Uses {
						things[u] = append(things[u], b)
					}
					placed[i], begin[i], end[i] = true, s, s+dur
					place(left - 1)
					placed[i] = false
					for _, q := range crew {
						who[q] = who[q][:len(who[q])-1]
					}
					for _, u := range tasks[i].Uses {
						things[u] = things[u][:len(things[u])-1]
					}
					return
				}
				for q := k; q < len(people); q++ {
					if slices.ContainsFunc(people[q].Skills,
						func(s string) bool {
							return slices.Contains(tasks[i].Who,
								s)
						}) {
						choose(q+1, append(crew[:len(crew):len(crew)], q))
					}
				}
			}
			choose(0, nil)
		}
	}
	place(n)
	return best, found
}

var skills = []string{"light", "grip", "hair"}

func randomPeople(r *rand.Rand, n int) []Person {
	out := make([]Person, n)
	for i := range out {
		out[i].Name = fmt.Sprint("p", i)
		for _, s := range skills {
			if r.IntN(2) == 0 {
				out[i].Skills = append(out[i].Skills, s)
			}
		}
		if len(out[i].Skills) == 0 {
			out[i].Skills = []string{skills[r.IntN(3)]}
		}
	}
	out[0].Skills = slices.Clone(skills)
	return out
}

func randomTasks(r *rand.Rand, n, people int, name string) []Task {
	out := make([]Task, n)
	for i := range out {
		t := &out[i]
		t.ID = fmt.Sprint(name, i)
		t.Dur = Fixed(float64(1 + r.IntN(9)))
		t.Hands = r.IntN(2) + r.IntN(2)*r.IntN(2)
		t.Who = []string{skills[r.IntN(3)]}
		if r.IntN(3) == 0 {
			t.Who = append(t.Who, skills[r.IntN(3)])
		}
		t.Hands = min(t.Hands, 1) // more only where there are surely enough
		if people > 2 && r.IntN(4) == 0 {
			t.Who, t.Hands = skills, 2
		}
		for j := range i {
			if r.IntN(4) == 0 {
				t.After = append(t.After, Link{j, 60 * r.IntN(3) * r.IntN(2)})
			}
		}
		if r.IntN(4) == 0 {
			t.Uses = []string{"sitter"}
		}
		t.Early = r.IntN(2) == 0
	}
	return out
}

// TestChangeExhaustive: 400 random changes against every schedule there is.
func TestChangeExhaustive(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for k := range 400 {
		people := randomPeople(r, 1+r.IntN(3))
		tasks := randomTasks(r, 1+r.IntN(5), len(people), "t")
		if r.IntN(3) == 0 {
			tasks[r.IntN(len(tasks))].NotBefore = 1000 + 60*r.IntN(10)
		}
		p := &project{tasks: tasks, people: people, free: make([]int, len(people)), start: 1000}
		for i := range p.free {
			p.free[i] = 1000
		}
		got, bound, at, err := p.solve()
		if err != nil {
			t.Fatal(err)
		}
		want, _ := slowChange(tasks, people, 1000)
		if got != want || bound != got {
			t.Fatalf("case %d: %d (bound %d), every schedule: %d", k, got, bound, want)
		}
		checkPlaced(t, tasks, people, at)
	}
}

// checkPlaced: nobody twice at once, nothing before what it needs, the right people.
func checkPlaced(t *testing.T, tasks []Task, people []Person, at []placing) {
	t.Helper()
	for i := range tasks {
		if len(at[i].people) != tasks[i].Hands {
			t.Fatalf("%s has %d people, needs %d", tasks[i].ID, len(at[i].people), tasks[i].Hands)
		}
		for _, q := range at[i].people {
			if !slices.ContainsFunc(people[q].Skills, func(s string) bool {
				return slices.Contains(tasks[i].Who,
					s)
			}) {
				t.Fatalf("%s is done by %s, who may not", tasks[i].ID, people[q].Name)
			}
		}
		for _, l := range tasks[i].After {
			if at[i].start < at[l.Task].start+tasks[l.Task].Dur.Mean()+l.Lag {
				t.Fatalf("%s begins before %s is over", tasks[i].ID, tasks[l.Task].ID)
			}
		}
		for j := range i {
			if at[i].start < at[j].start+tasks[j].Dur.Mean() && at[j].start < at[i].start+tasks[i].Dur.Mean() {
				for _, q := range at[i].people {
					if slices.Contains(at[j].people, q) {
						t.Fatalf("%s does %s and %s at once", people[q].Name, tasks[i].ID, tasks[j].ID)
					}
				}
				for _, u := range tasks[i].Uses {
					if slices.Contains(tasks[j].Uses, u) {
						t.Fatalf("%s and %s both use %s", tasks[i].ID, tasks[j].ID, u)
					}
				}
			}
		}
	}
}

// randomPlan makes a day of up to n setups.
func randomPlan(r *rand.Rand, n int) *Plan {
	p := &Plan{People: randomPeople(r, 1+r.IntN(3)), Begin: 14 * 3600, Last: -1}
	if r.IntN(4) == 0 {
		p.People = append(p.People, randomPeople(r, 3)...)
	}
	few := min(3, len(p.People))
	type pair struct{ from, to int }
	tasks := map[pair][]Task{}
	for i := range n {
		s := Setup{Name: fmt.Sprint("S", i), Priority: 1 + r.IntN(3)}
		s.Shoot = Task{ID: fmt.Sprint("S", i, "/shoot"), Dur: Fixed(float64(5 + r.IntN(15))), Hands: 1, Who: skills}
		if r.IntN(5) == 0 && i > 0 {
			s.After = []int{r.IntN(i)}
		}
		if r.IntN(4) == 0 {
			s.Earliest = p.Begin + 60*r.IntN(100)
		}
		if r.IntN(4) == 0 {
			s.Latest = p.Begin + 60*(20+r.IntN(120))
		}
		p.Setups = append(p.Setups, s)
		for from := -1; from < n; from++ {
			if from != i {
				tasks[pair{from, i}] = randomTasks(r, r.IntN(4), few, fmt.Sprint("c", from, ">", i, "/"))
			}
		}
	}
	p.Change = func(from, to int, standing uint) ([]Task, bool) { return tasks[pair{from, to}], true }
	if r.IntN(2) == 0 {
		p.Leave = p.Begin + 60*(30+r.IntN(150))
	}
	strike := randomTasks(r, 2, few, "strike")
	p.Strike = func(int) []Task { return strike }
	return p
}

// slowDay tries every order of every set of setups.
func slowDay(p *Plan) (set uint, cost int, found bool) {
	type key struct{ from, to int }
	known := map[key]int{}
	change := func(from, to, t int) (int, bool) {
		k := key{from, to}
		// No task of these plans is tied to the clock, so a change takes equally long at all hours.
		if d, ok := known[k]; ok {
			return t + d, true
		}
		tasks, _ := p.Change(from, to, 0)
		all := tasks
		if from >= 0 {
			shoot := p.Setups[from].Shoot
			shoot.After, shoot.NotBefore, shoot.Exactly = nil, t-shoot.Dur.Mean(), true
			all = []Task{shoot}
			for _, x := range tasks {
				var after []Link
				for _, l := range x.After {
					after = append(after, Link{l.Task + 1, l.Lag})
				}
				if !x.Early {
					after = append(after, Link{Task: 0})
				}
				x.After = after
				all = append(all, x)
			}
			e, ok := slowChange(all, p.People, shoot.NotBefore)
			known[k] = e - t
			return e, ok
		}
		e, ok := slowChange(all, p.People, t)
		known[k] = e - t
		return e, ok
	}
	var order func(shot uint, last, t, k, late int)
	order = func(shot uint, last, t, k, late int) {
		if shot != 0 {
			e, ok := slowChange(p.Strike(last), p.People, t)
			if ok {
				c := slices.Compare(p.value(shot), p.value(set))
				if !found || c > 0 || c == 0 && e+late < cost {
					set, cost, found = shot, e+late, true
				}
			}
		}
		for to := range p.Setups {
			if shot&(1<<to) != 0 || slices.ContainsFunc(p.Setups[to].After,
				func(a int) bool { return shot&(1<<a) == 0 }) {
				continue
			}
			ready, ok := change(last, to, t)
			if !ok {
				continue
			}
			b := max(ready, p.Setups[to].Earliest)
			if l := p.Setups[to].Latest; l > 0 && b > l {
				continue
			}
			e := b + p.Setups[to].Shoot.Dur.Mean()
			if p.Leave > 0 && e > p.Leave {
				continue
			}
			order(shot|1<<to, to, e, k+1, late+k*600/p.Setups[to].Priority)
		}
	}
	order(0, -1, p.Begin, 0, 0)
	return set, cost, found
}

// TestDayExhaustive: 320 random days of up to 8 setups and 6 people against every order of every
// set of setups with every schedule of every change.
func TestDayExhaustive(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for k := range 320 {
		n := 1 + r.IntN(5)
		if k%20 == 0 {
			n = 8
		}
		p := randomPlan(r, n)
		d, err := p.Solve(context.Background())
		if err != nil {
			t.Fatalf("case %d: %v", k, err)
		}
		set, cost, found := slowDay(p)
		var got uint
		late := 0
		for k, i := range d.Order {
			got |= 1 << i
			late += k * 600 / p.Setups[i].Priority
		}
		if !found {
			if len(d.Order) != 0 || len(d.Conflict) != n {
				t.Fatalf("case %d: %v and %d conflicts where nothing can be had", k, d.Order, len(d.Conflict))
			}
			continue
		}
		if slices.Compare(p.value(got), p.value(set)) != 0 || d.End+late != cost || !d.Proven {
			t.Fatalf("case %d: %v costs %d (proven %v); every order: set %b, cost %d", k, d.Order, d.End+late,
				d.Proven, set, cost)
		}
		checkDay(t, p, d)
	}
}

// checkDay: the laws of a planned day.
func checkDay(t *testing.T, p *Plan, d *Day) {
	t.Helper()
	for i := range d.Tasks {
		a := &d.Tasks[i]
		if len(a.People) != a.Hands {
			t.Fatalf("%s has %d people, needs %d", a.ID, len(a.People), a.Hands)
		}
		for _, l := range a.After {
			if l.Task >= i || a.Start < d.Tasks[l.Task].End+l.Lag {
				t.Fatalf("%s at %d begins before %s is over at %d", a.ID, a.Start, d.Tasks[l.Task].ID,
					d.Tasks[l.Task].End)
			}
		}
		for j := range i {
			b := &d.Tasks[j]
			if a.Start < b.End && b.Start < a.End {
				for _, q := range a.People {
					if slices.Contains(b.People, q) {
						t.Fatalf("%s does %s and %s at once", p.People[q].Name, a.ID, b.ID)
					}
				}
			}
		}
		if a.Slack < 0 {
			t.Fatalf("%s has slack %d", a.ID, a.Slack)
		}
		if s := a.Setup; s >= 0 && a.ID == p.Setups[s].Shoot.ID {
			if w := p.Setups[s].Latest; a.Start < p.Setups[s].Earliest || w > 0 && a.Start > w {
				t.Fatalf("%s at %d is out of its window", a.ID, a.Start)
			}
		}
	}
}

// manySetups makes a day as a crew has it: chains of rig, boom, gel and aim a light, then metering.
func manySetups(n, tasks int) *Plan {
	r := rand.New(rand.NewPCG(9, uint64(n)))
	p := &Plan{Begin: 9 * 3600, Last: -1}
	for i, s := range [][]string{{"photographer", "light"}, {"photographer", "light"}, {"light", "grip"},
		{"light", "grip"}, {"hair"}, {"grip"}} {
		p.People = append(p.People, Person{Name: fmt.Sprint(i), Skills: s})
	}
	type pair struct{ from, to int }
	all := map[pair][]Task{}
	for i := range n {
		p.Setups = append(p.Setups, Setup{Name: fmt.Sprint("S", i), Priority: 1 + i%3,
			Shoot: Task{ID: fmt.Sprint("S", i, "/shoot"), Dur: Duration{8, 12, 20}, Hands: 1,
				Who: []string{"photographer"}}})
		for from := -1; from < n; from++ {
			var list []Task
			var ends []Link
			for k := 0; len(list) < tasks; k++ {
				id := fmt.Sprint(from, ">", i, "/", k)
				m := float64(1 + r.IntN(5))
				list = append(list, Task{ID: id + "rig", Dur: Duration{m, m * 1.3, m * 3}, Hands: 1 + r.IntN(5)/4,
					Who: []string{"light", "grip"}, Early: r.IntN(3) == 0})
				list = append(list, Task{ID: id + "aim", Dur: Duration{0.5, 1, 2}, Hands: 1, Who: []string{"light"},
					After: []Link{{Task: len(list) - 1}}})
				ends = append(ends, Link{Task: len(list) - 1})
			}
			list = append(list, Task{ID: fmt.Sprint(from, ">", i, "/meter"), Dur: Duration{1, 2, 4}, Hands: 2,
				Who: []string{"photographer", "light"}, After: ends})
			list = append(list, Task{ID: fmt.Sprint(from, ">", i, "/hair"), Dur: Duration{5, 10, 20}, Hands: 1,
				Who: []string{"hair"}, Uses: []string{"sitter"}})
			all[pair{from, i}] = list
		}
	}
	p.Change = func(from, to int, standing uint) ([]Task, bool) { return all[pair{from, to}], true }
	return p
}
