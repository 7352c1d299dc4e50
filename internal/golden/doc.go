// Package golden holds what the program gives to what it gave: readings within their stated error,
// small pictures, sheets to the byte, and the shapes of what --json prints. HALFSTOP_UPDATE=1
// writes the files anew; that is done on purpose only, and the commit says why.
//
// It has no code of its own. It builds the program and runs it as a person does.
package golden
