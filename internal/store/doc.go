// Package store reads shoots from disk and writes them back whole or not at all.
//
// It must not know what stands in a shoot: bytes in, bytes out; package shoot decodes them.
package store
