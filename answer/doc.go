// Package answer runs the chain for one shoot and puts the results into plain structs: the shapes
// that `--json` prints and that tables are made from. The command line and the server both use it.
//
// It only calls and collects; it must not compute light, read files or print.
package answer
