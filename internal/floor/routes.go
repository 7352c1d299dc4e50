package floor

import (
	"net/http"
	"strconv"
	"time"

	"halfstop/internal/share"
)

// mostWait is how long a phone's question waits for news.
const mostWait = 10 * time.Second

// Routes are what a paired device may ask for, each with the least role. TestRoles walks them.
func (f *Floor) Routes() []share.Route {
	return []share.Route{
		{Method: "GET", Path: "/api/floor", Least: share.Look, Do: f.getView},
		{Method: "POST", Path: "/api/say", Least: share.Crew,
			Do: post(func(r *http.Request, d share.Device, in Entries) (any, error) {
				return f.Say(r.Context(), d, in)
			})},
		{Method: "POST", Path: "/api/seen", Least: share.Look,
			Do: post(func(r *http.Request, d share.Device, in Ack) (any, error) {
				return in, f.Ack(r.Context(), d, in)
			})},
		{Method: "POST", Path: "/api/accept", Least: share.Lead,
			Do: post(func(r *http.Request, d share.Device, in Accept) (any, error) {
				return in, f.Accept(r.Context(), d, in)
			})},
		{Method: "POST", Path: "/api/replan", Least: share.Lead,
			Do: post(func(r *http.Request, d share.Device, in Replan) (any, error) {
				return in, f.Replan(r.Context(), d, in)
			})},
		{Method: "GET", Path: "/api/frame", Least: share.Look, Do: f.getFrame},
		{Method: "POST", Path: "/api/assign", Least: share.Lead,
			Do: post(func(r *http.Request, d share.Device, in Assign) (any, error) {
				return in, f.Assign(r.Context(), d, in)
			})},
		{Method: "POST", Path: "/api/mark", Least: share.Lead,
			Do: post(func(r *http.Request, d share.Device, in Mark) (any, error) {
				return in, f.Mark(r.Context(), d, in)
			})},
		{Method: "POST", Path: "/api/stopframe", Least: share.Lead,
			Do: post(func(r *http.Request, d share.Device, in StopFrame) (any, error) {
				return in, f.StopFrame(r.Context(), d, in)
			})},
		{Method: "POST", Path: "/api/camera", Least: share.Lead,
			Do: post(func(r *http.Request, d share.Device, in CameraClock) (any, error) {
				return in, f.SetCamera(r.Context(), d, in)
			})},
	}
}

// post reads a shape and answers with another.
func post[In any](do func(r *http.Request, d share.Device, in In) (any, error)) func(http.ResponseWriter,
	*http.Request, share.Device) error {
	return func(w http.ResponseWriter, r *http.Request, d share.Device) error {
		var in In
		if err := share.Take(w, r, &in); err != nil {
			return err
		}
		out, err := do(r, d, in)
		if err == nil {
			share.Give(w, out)
		}
		return err
	}
}

// getView answers with what is shown, at once or, with since and run, when there is something
// newer.
func (f *Floor) getView(w http.ResponseWriter, r *http.Request, d share.Device) error {
	if s := r.FormValue("since"); s != "" {
		since, err := strconv.ParseInt(s, 10, 64)
		if err != nil {
			return &share.Refusal{Status: 400, Code: "not-understood", Text: "since: a number"}
		}
		if err := f.Wait(r.Context(), d, r.FormValue("run"), since, mostWait); err != nil {
			return err
		}
	}
	share.Give(w, f.View(r.Context(), d))
	return nil
}

// getFrame gives a picture of a test frame: id says of which, kind 'photo', 'predicted' or
// 'difference'.
func (f *Floor) getFrame(w http.ResponseWriter, r *http.Request, _ share.Device) error {
	b, kind := f.image(r.FormValue("id"), r.FormValue("kind"))
	if b == nil {
		return &share.Refusal{Status: 404, Code: "not-found", Text: "there is no such picture of a frame"}
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "private, max-age=3600")
	_, _ = w.Write(b)
	return nil
}
