// Package ownkit changes what a person owns: the files of the folder kit beside a shoot, by splices
// that keep every remark, and the lessons of readings that stand in them. A change is worked out
// on texts and then written whole or not at all.
//
// It must not know who asks: the command line, or the page.
package ownkit
