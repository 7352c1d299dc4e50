package server

import (
	"errors"
	"io"
	"net/http"
	"os"
	"path"
	"strings"
	"time"
)

// fileName is the last part of a name that a page gave its file; what is none, or too long, is
// called otherwise.
func fileName(name, otherwise string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if len(name) > 200 || name == "." || name == "/" {
		return otherwise
	}
	return name
}

// upload reads a file that a page sends, at most so many bytes, in at most so long.
func upload(w http.ResponseWriter, r *http.Request, name string, most int64, long time.Duration) ([]byte, error) {
	if r.ContentLength > most {
		return nil, refuse(http.StatusRequestEntityTooLarge, "%s has %d MiB; %d MiB are read at most", name,
			r.ContentLength>>20, most>>20)
	}
	c := http.NewResponseController(w)
	_ = c.SetReadDeadline(time.Now().Add(long))
	src, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	_ = c.SetReadDeadline(time.Time{})
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		return nil, refuse(http.StatusRequestEntityTooLarge, "%s is over %d MiB, the most that is read", name, most>>20)
	case errors.Is(err, os.ErrDeadlineExceeded):
		return nil, refuse(http.StatusRequestTimeout, "%s did not come whole in time", name)
	case err != nil:
		return nil, refuse(http.StatusBadRequest, "%s did not come whole: %v", name, err)
	}
	return src, nil
}
