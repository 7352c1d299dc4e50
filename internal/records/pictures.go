package records

import (
	"halfstop/picture"
	"halfstop/record"
	"halfstop/render"
	"halfstop/spectrum"
)

// PictureName is the file of the computed picture.
const PictureName = "picture.png"

// Pictures gives the files of a denoised frame, its layers and the developed picture, and says them
// in the record, with what the picture tells by its depth.
func Pictures(r *record.Record, f *render.Frame) ([]File, error) {
	r.Zones = record.Zones(f)
	data, layers, err := record.Pack(f, record.Most)
	if err != nil {
		return nil, err
	}
	layers.File, r.Layers = LayersName, layers
	img := picture.Render(f.Linear(-1), f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB, render.RenderingOf(f.Stage))
	png, err := picture.PNG(picture.Flat(img), spectrum.SRGB)
	if err != nil {
		return nil, err
	}
	r.Pictures = append(r.Pictures, record.Picture{File: PictureName, Says: "computed"})
	return []File{{LayersName, data}, {PictureName, png}}, nil
}
