package share

import "net/http"

// Role is what a paired device may do. Each role may do all that the ones before it may.
type Role string

// The roles. Anyone is who has not paired: there are next to no routes for it.
const (
	Anyone Role = ""
	Look   Role = "look" // sees the plan and the log
	Crew   Role = "crew" // logs readings, ticks tasks, asks for help
	Lead   Role = "lead" // takes settings, plans the day anew
)

// rank orders the roles; -1 is none.
func (r Role) rank() int {
	for i, x := range []Role{Anyone, Look, Crew, Lead} {
		if r == x {
			return i
		}
	}
	return -1
}

// May reports whether a device of this role may use what asks for at least the other.
func (r Role) May(least Role) bool {
	return r.rank() >= 0 && least.rank() >= 0 && r.rank() >= least.rank()
}

// Route is one thing that a paired device may ask for. Do writes the answer, or gives an error
// that the door answers with: a *Refusal with its own status, anything else 422 (Unprocessable).
type Route struct {
	Method, Path string // as http.ServeMux has them
	Least        Role
	Do           func(w http.ResponseWriter, r *http.Request, d Device) error
}

// Refusal is an error with an HTTP status and a word to go by.
type Refusal struct {
	Status int
	Code   string
	Text   string
}

func (e *Refusal) Error() string { return e.Text }
