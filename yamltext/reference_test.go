package yamltext

import (
	"halfstop/diag"
)

// What the tests hold the room's own code against.

// KeyPos gives the place of the key at path, or what Pos gives where there is no such key.
func (d *Doc) KeyPos(path string) diag.Pos {
	list, ok := steps(path)
	if !ok || len(list) == 0 || list[len(list)-1].item {
		return d.Pos(path)
	}
	n := d.Root
	for _, s := range list[:len(list)-1] {
		n = n.take(s)
	}
	if n != nil {
		for _, f := range n.Fields {
			if f.Key.Text == list[len(list)-1].key {
				return f.Key.Pos
			}
		}
	}
	return d.Pos(path)
}

// OneOf reports whether word is one of allowed, and tells the person where it is not.
func (d *Decoder) OneOf(n *Node, word string, allowed []string) bool {
	return d.oneOf(n, d.what, word, allowed)
}
