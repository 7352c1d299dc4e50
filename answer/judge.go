package answer

import (
	"fmt"
	"math"

	"halfstop/diag"
)

// farOff is how far the lit side of a face may lie from what the camera is set to before it is
// worth a word, stops: a look can be two thirds of a stop to a stop either way (common practice, no
// source).
const farOff = 1.5

// Judge says what the readings of a setup show to be wrong by itself, whatever the look asks: a
// face far off the camera's setting, a ratio that is inverted.
func (m *Metered) Judge() (out diag.List) {
	setup := fmt.Sprintf("setups[%d]", m.Stage.Index)
	say := func(code, path, fix, format string, args ...any) {
		msg := diag.Message{Severity: diag.Finding, Code: code, Text: fmt.Sprintf(format, args...), Fix: fix}
		if m.doc != nil {
			msg.Pos = m.doc.Pos(path)
		}
		out = append(out, msg)
	}
	if m.Stage.Sitter == nil {
		return nil
	}
	for i := range m.Readings {
		r := &m.Readings[i]
		if r.Name != "face key side" || r.Dark || m.Camera.Assumed || !(r.FNumber > 0) {
			continue
		}
		over := float64(r.FNumber.StopsOver(m.Camera.Aperture)) - float64(m.Camera.ND)
		word, fix := "over", "turn the key down, or close the aperture, shorten the shutter, lower the ISO"
		if over < 0 {
			word, fix = "under", "turn the key up, or open the aperture, raise the ISO"
		}
		if math.Abs(over) >= farOff {
			say("camera.face", setup+".camera.aperture", fix+"; halfstop balance says how far",
				"the face reads %s at its key side, %.1f stops %s what the camera is set to (%s)",
				FText(r.FNumber), math.Abs(over), word, FText(m.Camera.Aperture))
		}
	}
	if r := m.Facts.Ratio; r != nil && float64(r.LitOverShade) < -0.3 {
		say("light.inverted", setup+".lights", "lower or flag what lights the far side, or call that light the key",
			"the ratio is inverted: the side of the face away from the key is %.1f stops the brighter",
			-float64(r.LitOverShade))
	}
	return out
}
