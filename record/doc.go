// Package record says how a setup was really lit: as planned, as dialled, as metered and as shot,
// with the room, the hour, what was learned, the look as it came out, and its light layer by layer.
//
// Make builds a Record of a metered setup; Compare holds two against each other; Relight lights one
// again in another room; Layers keeps the picture so that it can be mixed again without tracing.
//
// It must not know disks, pages or a log's database: package internal/records reads and writes the
// folders, and the commands bring what was logged.
package record
