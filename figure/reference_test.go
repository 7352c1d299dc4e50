package figure

// Slight, Medium and Heavy are the named values of Params.Girth.
const (
	Slight = -1.0
	Medium = 0.0
	Heavy  = 1.0
)
