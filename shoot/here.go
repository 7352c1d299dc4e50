package shoot

import (
	"encoding/json"
	"fmt"
	"strings"

	"halfstop/content"
)

// untitled begins the name of a place whose shoot has no title.
const untitled = "untitled "

// Here names the place of a shoot, for what is learned of its room and of the lights of the house:
// the title; without one a name made of date, place and room as they are written, so that another
// shoot without a title is another place. It changes as the room is drawn otherwise.
func (f *File) Here() string {
	if f.Shoot.Title != "" {
		return f.Shoot.Title
	}
	var h content.Hash
	b, err := json.Marshal([]any{f.Shoot.Date, f.Shoot.Place, f.Room})
	var v any
	if err == nil {
		err = json.Unmarshal(b, &v)
	}
	if err == nil {
		b, err = json.Marshal(said(v))
	}
	if err != nil { // a number that JSON has no word for: addresses stand in it, and it is like no other
		b = fmt.Appendf(nil, "%+v", f.Room)
	}
	h.Text(string(b))
	return fmt.Sprintf("%sroom %08x", untitled, uint64(h.Key())&0xffffffff)
}

// Untitled reports whether a place's name is that of a shoot without a title; the name is empty in
// what older versions kept.
func Untitled(place string) bool { return place == "" || strings.HasPrefix(place, untitled+"room ") }

// said leaves out what is zero or empty, so that a key that the format gets later changes no name;
// nil where nothing is left.
func said(v any) any {
	switch x := v.(type) {
	case map[string]any:
		for k, e := range x {
			if x[k] = said(e); x[k] == nil {
				delete(x, k)
			}
		}
		if len(x) > 0 {
			return x
		}
	case []any: // places in a list stay
		some := false
		for i := range x {
			x[i] = said(x[i])
			some = some || x[i] != nil
		}
		if some {
			return x
		}
	case string:
		if x != "" {
			return x
		}
	case float64:
		if x != 0 {
			return x
		}
	case bool:
		if x {
			return x
		}
	}
	return nil
}
