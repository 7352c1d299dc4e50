// Package kit proves the Kit screen in a real headless browser: things are found and added, a
// maker's sheet is typed, a file is taken in, readings are logged and what they teach is kept. It
// holds no code that the program runs.
package kit
