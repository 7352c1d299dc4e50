package store

import "golang.org/x/sys/unix"

func swap(a, b string) error { return unix.RenamexNp(a, b, unix.RENAME_SWAP) }
