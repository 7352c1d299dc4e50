package server

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// How answers go out. JSON and the page are compressed (gzip, RFC 1952) for who takes it; streams
// are not, so that an event is not held back, nor are pictures, which have their own compression.
const (
	leastSqueezed = 2 << 10          // bytes from which compressing pays
	sendTime      = 30 * time.Second // for a reader to take an answer
)

// squeezed is the writer of an answer that may go out compressed.
type squeezed struct{ http.ResponseWriter }

// Unwrap is for http.ResponseController.
func (w *squeezed) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// squeezing wraps the writer for a request that takes gzip.
func squeezing(w http.ResponseWriter, r *http.Request) http.ResponseWriter {
	for part := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, q, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.EqualFold(strings.TrimSpace(name), "gzip") {
			if v, err := strconv.ParseFloat(strings.TrimPrefix(strings.TrimSpace(q), "q="), 64); q == "" ||
				err == nil && v > 0 {
				return &squeezed{w}
			}
		}
	}
	return w
}

var squeezers = sync.Pool{New: func() any { z, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed); return z }}

// send writes a whole answer. Who does not take it in time is cut off.
func send(w http.ResponseWriter, status int, b []byte) {
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(sendTime))
	h := w.Header()
	if len(b) >= leastSqueezed && !packed(h.Get("Content-Type")) {
		h.Add("Vary", "Accept-Encoding")
		if _, ok := w.(*squeezed); ok {
			var out bytes.Buffer
			z := squeezers.Get().(*gzip.Writer)
			z.Reset(&out)
			_, _ = z.Write(b)
			_ = z.Close()
			squeezers.Put(z)
			if out.Len() < len(b) {
				h.Set("Content-Encoding", "gzip")
				b = out.Bytes()
			}
		}
	}
	h.Set("Content-Length", strconv.Itoa(len(b)))
	w.WriteHeader(status)
	_, _ = w.Write(b)
}

// packed reports whether a media type has a compression of its own.
func packed(t string) bool {
	return strings.HasPrefix(t, "image/") && t != "image/svg+xml" || t == "font/woff2"
}

// tagOf names the bytes of an answer (RFC 9110, 8.8.3). It is weak, because the same answer goes
// out compressed and plain.
func tagOf(b []byte) string {
	s := sha256.Sum256(b)
	return `W/"` + base64.RawURLEncoding.EncodeToString(s[:12]) + `"`
}

// tagged puts a tag on an answer, and answers 304 where the page has it already: then nothing is
// left to send.
func tagged(w http.ResponseWriter, r *http.Request, tag string) bool {
	h := w.Header()
	h.Set("ETag", tag)
	if h.Get("Cache-Control") == "no-store" {
		h.Set("Cache-Control", "no-cache")
	}
	for part := range strings.SplitSeq(r.Header.Get("If-None-Match"), ",") {
		if p := strings.TrimSpace(part); p == "*" || p == tag {
			w.WriteHeader(http.StatusNotModified)
			return true
		}
	}
	return false
}

func write(w http.ResponseWriter, status int, v any) {
	b, err := encode(v)
	if err != nil {
		status, b = http.StatusInternalServerError, []byte(`{"error":"the answer cannot be written as JSON"}`)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	send(w, status, b)
}

func encode(v any) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return buf.Bytes(), err
}

func give(w http.ResponseWriter, v any) error {
	write(w, http.StatusOK, v)
	return nil
}

// giveTagged gives what seldom changes: a page that has it is told so.
func giveTagged(w http.ResponseWriter, r *http.Request, v any) error {
	b, err := encode(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	if !tagged(w, r, tagOf(b)) {
		send(w, http.StatusOK, b)
	}
	return nil
}
