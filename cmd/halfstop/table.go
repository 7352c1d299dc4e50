package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/term"
)

// usualColumns is the width of text where no terminal says another.
const usualColumns = 100

// columnsOf is how many columns a line may have on w: the terminal's, else the COLUMNS of the
// environment, else 100; 40 at least.
func columnsOf(w io.Writer) int { return columnsFor(w, os.Getenv("COLUMNS")) }

func columnsFor(w io.Writer, said string) int {
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		if n, _, err := term.GetSize(int(f.Fd())); err == nil && n > 0 {
			return max(40, n)
		}
	}
	if n, err := strconv.Atoi(said); err == nil && n > 0 {
		return max(40, n)
	}
	return usualColumns
}

// line prints text broken at spaces to the width of the output; what is broken goes on indented.
func (e *env) line(indent int, text string) { fmt.Fprint(e.out, wrap(text, e.columns, indent)) }

// wrap breaks each line of text at spaces into lines of at most so many columns. Lines after the
// first begin with indent spaces. A number stays with its unit and its sign, and a
// word that is too long for a line stays whole. Spaces that do not break a line stay as they are.
func wrap(text string, columns, indent int) string {
	if first, rest, more := strings.Cut(text, "\n"); more {
		return wrap(first, columns, indent) + wrap(rest, columns, indent)
	}
	var b strings.Builder
	for first := true; ; first = false {
		if !first {
			b.WriteString(strings.Repeat(" ", indent))
		}
		room := columns
		if !first {
			room -= indent
		}
		if utf8.RuneCountInString(text) <= room {
			return b.String() + text + "\n"
		}
		at, n := -1, 0
		before := ' '
		for i, r := range text {
			if r == ' ' && strings.TrimSpace(text[:i]) != "" && (n <= room || at < 0) && !unicode.IsDigit(before) &&
				!strings.ContainsRune("-+−±×<>", before) {
				at = i
			}
			if n++; n > room && at >= 0 {
				break
			}
			before = r
		}
		if at < 0 {
			return b.String() + text + "\n"
		}
		b.WriteString(strings.TrimRight(text[:at], " ") + "\n")
		text = strings.TrimLeft(text[at:], " ")
	}
}

// table is text in columns; the last column is broken where it is too long for the line.
type table struct {
	head []string
	rows [][]string
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

// A table's first column takes at most a third of the line, and no more than 30 columns; longer
// names are cut. Where the last column would have less than leastLast columns it goes onto a line
// of its own.
const longestName, leastLast = 30, 24

func (e *env) table(t *table) {
	all := t.rows
	if t.head != nil {
		all = append([][]string{t.head}, t.rows...)
	}
	if len(all) == 0 { // a place with no light but the house's
		return
	}
	var width []int
	for _, r := range all {
		for i, c := range r {
			if i == len(width) {
				width = append(width, 0)
			}
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	width[0] = min(width[0], longestName, e.columns/3)
	before := 0
	for _, w := range width[:len(width)-1] {
		before += w + 2
	}
	for _, r := range all {
		line := ""
		for i, c := range r[:len(r)-1] {
			if n := utf8.RuneCountInString(c); n > width[i] {
				c = string([]rune(c)[:width[i]-1]) + "…"
			}
			line += c + strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+2)
		}
		last := r[len(r)-1]
		if e.columns-before < min(leastLast, width[len(width)-1]) {
			e.line(0, strings.TrimRight(line, " "))
			if last != "" {
				e.line(4, "    "+last)
			}
			continue
		}
		e.line(before, strings.TrimRight(line+last, " "))
	}
}
