package day

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"halfstop/kit"
)

const twoRooms = `
halfstop: 1
shoot: {hours: {access: "09:00", sitter: "09:40", strike: "12:00", out: "13:00"}}
day:
  people: [{name: P, does: [photographer]}, {name: A, does: [assistant]}, {name: H, does: [hair and make-up]}]
room: {size: [6, 4, 3]}
setups:
  - name: One
    camera: {at: [5, 2], height: 1.5 m}
    sitter: {at: [2, 2]}
    lights: [{role: key, head: battery head 500, at: [3, 3, 2]}, {role: hair, head: accent head 100, at: [1, 3, 2]}]
  - name: Two
    camera: {at: [5, 1], height: 1.5 m}
    sitter: {at: [2, 2]}
    lights: [{role: key, head: battery head 500, at: [3, 1, 2]}]
  - name: Three
    camera: {at: [5, 3], height: 1.5 m}
    sitter: {at: [2, 2]}
    lights: [{role: key, head: battery head 500, modifier: octa 90, at: [3, 2.5, 2]}]
`

func planned(t *testing.T, text string) *Plan {
	t.Helper()
	f := parsed(t, text)
	k := kit.Merge(kit.Catalogue(), f.Kit)
	p, _ := FromShoot(f, &k)
	return p
}

func solved(t *testing.T, p *Plan) *Day {
	t.Helper()
	d, err := p.Solve(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func (d *Day) task(id string) *Placed {
	for i := range d.Tasks {
		if d.Tasks[i].ID == id {
			return &d.Tasks[i]
		}
	}
	return nil
}

// TestLockStays: a locked task begins in its minute and is done by its people, over every task that
// the plan has and several minutes; nobody is twice at once, nothing comes before what it needs.
func TestLockStays(t *testing.T) {
	p := planned(t, twoRooms)
	free := solved(t, p)
	tried := 0
	for i := range free.Tasks {
		f := &free.Tasks[i]
		if strings.HasSuffix(f.ID, "load in") || strings.HasPrefix(f.ID, "strike") {
			continue
		}
		for _, later := range []int{0, 3, 11} {
			at := f.Start/60*60 + 60*later
			q, _, err := p.Lock([]Lock{{Task: f.ID, At: at}})
			if err != nil {
				t.Fatal(err)
			}
			d := solved(t, q)
			got := d.task(f.ID)
			if got == nil {
				continue // the order is another, and the task is not in it
			}
			tried++
			if got.Start < at || got.Start > at+59 {
				t.Errorf("%s held at %s begins at %s", f.ID, Clock(at), Clock(got.Start))
			}
			sound(t, q, d)
		}
	}
	if tried < 25 {
		t.Errorf("%d locks were looked at", tried)
	}
	q, _, err := p.Lock([]Lock{{Task: "one: rig hair", By: []string{"p"}}})
	if err != nil {
		t.Fatal(err)
	}
	if d := solved(t, q); !slices.Equal(d.task("One: rig hair").People, []int{0}) {
		t.Errorf("held by P, done by %v", d.task("One: rig hair").People)
	}
	for _, c := range []struct {
		lock Lock
		want string
	}{{Lock{Task: "One: rig hare"}, `did you mean "One: rig hair"?`}, {Lock{Task: "One: rig hair",
		By: []string{"Q"}}, "nobody called"}} {
		if _, i, err := p.Lock([]Lock{c.lock}); err == nil || i != 0 || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: lock %d, %v", c.lock, i, err)
		}
	}
}

// sound holds a plan to what no plan may break.
func sound(t *testing.T, p *Plan, d *Day) {
	t.Helper()
	for i := range d.Tasks {
		a := &d.Tasks[i]
		for _, l := range a.After {
			if b := &d.Tasks[l.Task]; b.End+l.Lag > a.Start {
				t.Errorf("%s begins before %s is over", a.ID, b.ID)
			}
		}
		if len(a.People) != a.Hands {
			t.Errorf("%s has %d people of %d", a.ID, len(a.People), a.Hands)
		}
		for j := range d.Tasks[:i] {
			b := &d.Tasks[j]
			if a.Start < b.End && b.Start < a.End {
				for _, k := range a.People {
					if slices.Contains(b.People, k) {
						t.Errorf("%s is at %s and at %s at once", p.People[k].Name, a.ID, b.ID)
					}
				}
			}
		}
	}
}

// TestLockConflict: a lock that leaves no time names what it keeps out, and when it could be.
func TestLockConflict(t *testing.T) {
	p := planned(t, strings.Replace(twoRooms, `strike: "12:00"`, `strike: "11:30"`, 1))
	if d := solved(t, p); len(d.LeftOut) > 0 {
		t.Fatalf("left out without a lock: %v", d.LeftOut)
	}
	locks := []Lock{{Task: "One: rig hair", At: 12*3600 + 600}}
	q, _, err := p.Lock(locks)
	if err != nil {
		t.Fatal(err)
	}
	d := solved(t, q)
	got := p.LockConflicts(t.Context(), locks, d)
	if len(got) != 1 || !strings.Contains(got[0].Text, "held at 12:10 keeps out One") ||
		!strings.HasPrefix(got[0].Fix, "let it begin at 1") {
		t.Errorf("%+v, left out %v", got, d.LeftOut)
	}
}

// TestResume: a picture that is being taken comes first and takes what is left of it; what led to
// it is done, ticked or not.
func TestResume(t *testing.T) {
	p := planned(t, twoRooms)
	d := solved(t, p)
	first := p.Setups[d.Order[1]] // not the one that would come first
	q, err := p.Resume(Progress{Now: 11 * 3600, Running: []string{first.Shoot.ID},
		Since: map[string]int{first.Shoot.ID: 11*3600 - 480}})
	if err != nil {
		t.Fatal(err)
	}
	e := solved(t, q)
	shot := e.task(first.Shoot.ID)
	// 10, 14 and 20 min less the 8 that it has taken: 2, 6, 12; the mean is 6:40.
	if e.Order[0] != d.Order[1] || shot.Start != 11*3600 || shot.End-shot.Start != 400 {
		t.Errorf("order %v, shot %s to %s, want %d first from 11:00 for 6:40", e.Order, Clock(shot.Start),
			Clock(shot.End), d.Order[1])
	}
	for i := range e.Tasks {
		if strings.HasPrefix(e.Tasks[i].ID, first.Name+": ") && e.Tasks[i].ID != first.Shoot.ID {
			t.Errorf("%s is still to do", e.Tasks[i].ID)
		}
	}
	sound(t, q, e)
	// What the next picture needs is still to do: nothing was built before that is not said to be.
	next, todo := p.Setups[e.Order[1]].Name, 0
	for i := range e.Tasks {
		if strings.HasPrefix(e.Tasks[i].ID, next+": key") || strings.HasPrefix(e.Tasks[i].ID, next+": rig key") {
			todo++
		}
	}
	if todo == 0 {
		t.Errorf("nothing is to be done to the key of %s", next)
	}
	// Longer than it ever takes: about to be over, never less than nothing.
	q, _ = p.Resume(Progress{Now: 11 * 3600, Running: []string{first.Shoot.ID},
		Since: map[string]int{first.Shoot.ID: 10 * 3600}})
	if d := q.Setups[e.Order[0]].Shoot.Dur; d != (Duration{0, 0, 1}) {
		t.Errorf("left of it: %v", d)
	}
}

// TestAsOf: on plan nothing moves; a task that is late moves what waits for it by as much as it is
// over its slack; what is over has the times that it had; the day's spare time is what is left.
func TestAsOf(t *testing.T) {
	p := planned(t, twoRooms)
	d := solved(t, p)
	same := p.AsOf(d, p.Begin, nil)
	for i := range d.Tasks {
		if same.Tasks[i].Start != d.Tasks[i].Start || same.Tasks[i].End != d.Tasks[i].End {
			t.Errorf("%s: %s, planned %s", d.Tasks[i].ID, Clock(same.Tasks[i].Start), Clock(d.Tasks[i].Start))
		}
	}
	was, _ := p.Spare(d)
	// All is done as planned until the first picture, which began five minutes late and still runs.
	shot := slices.IndexFunc(d.Tasks, func(t Placed) bool { return strings.HasSuffix(t.ID, ": shoot") })
	begin := d.Tasks[shot].Start + 300
	seen := map[string]Seen{d.Tasks[shot].ID: {Begun: begin}}
	for i := range d.Tasks[:shot] {
		if x := &d.Tasks[i]; x.End <= d.Tasks[shot].Start {
			seen[x.ID] = Seen{x.Start, x.End}
		}
	}
	e := p.AsOf(d, begin+60, seen)
	now, _ := p.Spare(e)
	if !e.Tasks[shot].Begun || e.Tasks[shot].Start != begin || !e.Tasks[0].Over {
		t.Errorf("%+v", e.Tasks[shot])
	}
	if lost := was - now; lost != 300 {
		t.Errorf("spare %d s of %d: %d lost, want 300 (the pictures are one behind the other)", now, was, lost)
	}
	c := p.Simulate(e, 500, 1)
	if x := c.Setups[d.Order[0]]; len(x.Starts) != 1 || x.From != begin/60 {
		t.Errorf("a picture that has begun at %s begins at %d different minutes from minute %d", Clock(begin),
			len(x.Starts), x.From)
	}
	// Nothing is done and it is past eleven: all of it begins from then on.
	for _, x := range p.AsOf(d, 11*3600, nil).Tasks {
		if x.Start < 11*3600 {
			t.Errorf("%s would begin at %s", x.ID, Clock(x.Start))
		}
	}
}

// ExamplePlan_Lock holds a task where a person has put it.
func ExamplePlan_Lock() {
	p := &Plan{Last: -1, People: []Person{{"A", []string{Assistant}}}, Begin: 9 * 3600, Setups: []Setup{{Name: "One",
		Shoot: Task{ID: "One: shoot", Dur: Fixed(10)}}},
		Change: func(_, _ int, _ uint) ([]Task, bool) {
			return []Task{{ID: "One: rig", Dur: Fixed(5), Hands: 1, Who: []string{Assistant}}}, true
		}}
	q, _, _ := p.Lock([]Lock{{Task: "One: rig", At: 9*3600 + 900}})
	d, _ := q.Solve(context.Background())
	for _, t := range d.Tasks {
		fmt.Println(Clock(t.Start), t.ID)
	}
	// Output:
	// 09:15 One: rig
	// 09:20 One: shoot
}
