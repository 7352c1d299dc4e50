package photometry

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"

	"halfstop/diag"
)

// Bounds on a tree of XML: a table of one degree has about 65,000 elements.
const (
	mostElements = 400_000
	mostDeep     = 64
)

// node is one element of a file of XML. Names count, namespaces do not.
type node struct {
	name      string
	attr      map[string]string
	text      string
	children  []*node
	line, col int
}

// child is the first element of a name under n; nil: none.
func (n *node) child(names ...string) *node {
	if n == nil {
		return nil
	}
	for _, name := range names {
		for _, c := range n.children {
			if c.name == name {
				return c
			}
		}
	}
	return nil
}

// each calls f for every element of a name below n, in document order.
func (n *node) each(name string, f func(*node)) {
	for _, c := range n.children {
		if c.name == name {
			f(c)
		}
		c.each(name, f)
	}
}

// said is the text of the first child of a name.
func (n *node) said(names ...string) string {
	if c := n.child(names...); c != nil {
		return c.text
	}
	return ""
}

// figure is that text as a number; 0 where there is none or it is no number.
func (n *node) figure(names ...string) float64 {
	x, _ := number(n.said(names...))
	return x
}

// tree reads XML. Entities of the file's own are refused, and what would take more memory or depth
// than any true file. Check: FuzzTM33, FuzzGDTF.
func (t *text) tree() *node {
	src := t.src
	d := xml.NewDecoder(bytes.NewReader(src))
	d.CharsetReader = charset
	root := &node{}
	stack := []*node{root}
	count := 0
	line, col, from := 1, 1, int64(0)
	for {
		at := d.InputOffset()
		for _, c := range src[from:at] { // places as the file goes by: each byte once
			if col++; c == '\n' {
				line, col = line+1, 1
			} else if c&0xc0 == 0x80 {
				col--
			}
		}
		from = at
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.add(diag.Error, line, col, 1, "photometry.xml", "", "the file is no well-formed XML: %s",
				strings.TrimPrefix(err.Error(), "XML syntax error on "))
			return nil
		}
		top := stack[len(stack)-1]
		switch e := tok.(type) {
		case xml.Directive:
			if bytes.Contains(bytes.ToUpper(e), []byte("ENTITY")) {
				t.add(diag.Error, line, col, 1, "photometry.entity", "write the text itself",
					"the file defines entities; they are not read")
				return nil
			}
		case xml.CharData:
			if top.text == "" || len(top.children) == 0 {
				top.text += string(e)
			}
		case xml.EndElement:
			top.text = strings.TrimSpace(top.text)
			stack = stack[:len(stack)-1]
		case xml.StartElement:
			if count++; count > mostElements || len(stack) > mostDeep {
				t.add(diag.Error, line, col, 1, "photometry.too-large", "",
					"the file has more than %d elements, or they lie more than %d deep", mostElements, mostDeep)
				return nil
			}
			n := &node{name: e.Name.Local, line: line, col: col}
			for _, a := range e.Attr {
				if n.attr == nil {
					n.attr = map[string]string{}
				}
				n.attr[a.Name.Local] = strings.TrimSpace(a.Value)
			}
			top.children = append(top.children, n)
			stack = append(stack, n)
		}
	}
	if len(root.children) == 0 {
		t.add(diag.Error, 1, 1, 1, "photometry.xml", "", "the file holds no element of XML")
		return nil
	}
	return root.children[0]
}

// charset takes every charset but UTF-8 for Windows-1252, and UTF-16 as Plain has turned it.
func charset(label string, in io.Reader) (io.Reader, error) {
	if l := strings.ToLower(label); strings.HasPrefix(l, "utf-16") || strings.HasPrefix(l, "utf16") {
		return in, nil
	}
	raw, err := io.ReadAll(in)
	return strings.NewReader(windows1252(raw)), err
}
