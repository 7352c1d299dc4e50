// Package library proves the Library screen in a real headless browser: setups are found, narrowed,
// held against each other, and a record is lit again in another room. It holds no code that the
// program runs.
package library
