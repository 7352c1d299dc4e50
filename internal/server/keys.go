package server

import (
	"strconv"

	"halfstop/content"
	"halfstop/meter"
	"halfstop/render"
	"halfstop/stage"
)

// What was computed is kept under stage.Keys, the content that it
// rests on. Beside them pictures rest on the aperture, contours on
// where they are laid, and small pictures of plans on all settings.

// pictureKey is of the light of a setup's picture at full settings; its colours stand beside it.
func pictureKey(s *stage.Stage) content.Key {
	var h content.Hash
	h.Keys(s.Keys.Place, s.Keys.View)
	h.Keys(s.Keys.Lights...)
	h.Floats(float64(meter.CameraOf(s).Aperture))
	return h.Key()
}

// shotKey is of all that a developed picture shows.
func shotKey(s *stage.Stage, side int) content.Key {
	cam := meter.CameraOf(s)
	mix := render.MixOf(s, cam, -1)
	var h content.Hash
	h.Keys(pictureKey(s), s.Keys.Colours)
	h.Floats(mix.Weight...)
	h.Floats(mix.Exposure, mix.White.X, mix.White.Y, mix.White.Z)
	h.Int(side)
	return h.Key()
}

// fieldsKey is of contours: all that carries light,
// colours, which are folded in, and where domes look.
func fieldsKey(s *stage.Stage, plane render.Plane, kind render.MapReceptor) content.Key {
	var h content.Hash
	h.Keys(s.Keys.Place, s.Keys.Colours)
	h.Keys(s.Keys.Lights...)
	if s.View != nil && kind == render.DomeToCamera {
		h.Floats(s.View.At.X, s.View.At.Y, s.View.At.Z)
	}
	h.Bool(plane.Upright)
	h.Floats(plane.At, plane.Top, s.Shoot.House.FlatC, s.Shoot.House.DomeC)
	h.Int(int(kind))
	return h.Key()
}

// wireKey is how a picture's key goes over the wire.
func wireKey(key, colours content.Key) string {
	return strconv.FormatUint(uint64(key), 36) + "." + strconv.FormatUint(uint64(colours), 36)
}
