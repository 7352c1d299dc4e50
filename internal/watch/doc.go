// Package watch finds new photographs in a folder into which other software puts them. A file is
// taken when it is whole: when it has come to rest and can be decoded. Nothing is written there.
package watch
