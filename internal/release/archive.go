package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"time"
)

func mode(e *entry) int64 {
	if e.run {
		return 0o755
	}
	return 0o644
}

// tarred packs entries under a folder, compressed by gzip.
func tarred(folder string, entries []entry, when time.Time) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	t := tar.NewWriter(z)
	for i := range entries {
		e := &entries[i]
		h := &tar.Header{Name: folder + "/" + e.name, Mode: mode(e), Size: int64(len(e.data)), ModTime: when,
			Format: tar.FormatPAX}
		if err := t.WriteHeader(h); err != nil {
			return nil, err
		}
		if _, err := t.Write(e.data); err != nil {
			return nil, err
		}
	}
	if err := t.Close(); err != nil {
		return nil, err
	}
	err = z.Close()
	return b.Bytes(), err
}

// zipped packs entries under a folder as a zip file.
func zipped(folder string, entries []entry, when time.Time) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := range entries {
		e := &entries[i]
		h := &zip.FileHeader{Name: folder + "/" + e.name, Method: zip.Deflate, Modified: when}
		h.SetMode(0o644)
		if e.run {
			h.SetMode(0o755)
		}
		w, err := z.CreateHeader(h)
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(e.data); err != nil {
			return nil, err
		}
	}
	err := z.Close()
	return b.Bytes(), err
}
