package mesh

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
)

// What is read of textures at most. One is held whole while it is read, then averaged down so that
// all together have keptTexels.
const (
	mostTexels    = 64 << 20  // pixels of one texture: 8192 × 8192
	mostAllTexels = 256 << 20 // of all together
	keptTexels    = 8 << 20   // that are kept, six bytes each
	mostSamples   = 64 << 20  // looked up in them, all triangles together
)

// texture is a picture in linear light, averaged down by whole numbers of pixels.
type texture struct {
	w, h int
	pix  [][3]uint16 // linear, 65535 is white
}

// gltfTexture names a texture of a material and the set of its coordinates.
type gltfTexture struct {
	Index      int                        `json:"index"`
	TexCoord   int                        `json:"texCoord"`
	Extensions map[string]json.RawMessage `json:"extensions"`
}

// picture finds the bytes of a texture; a reason when it cannot be read. It takes no memory that
// the file does not have.
func (r *glbReader) picture(t int) (src []byte, why string) {
	if t < 0 || t >= len(r.g.Textures) || r.g.Textures[t].Source == nil || *r.g.Textures[t].Source < 0 ||
		*r.g.Textures[t].Source >= len(r.g.Images) {
		return nil, "names no picture of the file"
	}
	im := r.g.Images[*r.g.Textures[t].Source]
	if im.URI != "" {
		_, data, ok := strings.Cut(im.URI, ";base64,")
		if !ok || !strings.HasPrefix(im.URI, "data:") {
			return nil, "lies in another file: export all as one file (GLB)"
		}
		b, err := base64.StdEncoding.DecodeString(data)
		if err != nil {
			return nil, "is not whole: " + err.Error()
		}
		return b, ""
	}
	if im.BufferView == nil || *im.BufferView < 0 || *im.BufferView >= len(r.g.BufferViews) {
		return nil, "has no data"
	}
	v := &r.g.BufferViews[*im.BufferView]
	buf, err := r.buffer(v.Buffer)
	if err != nil {
		return nil, err.Error()
	}
	if long := int64(len(buf)); v.ByteOffset < 0 || v.ByteOffset > long || v.ByteLength < 0 ||
		v.ByteLength > long-v.ByteOffset {
		return nil, fmt.Sprintf("has %d bytes from %d on, past the end of %d", v.ByteLength, v.ByteOffset, long)
	}
	return buf[v.ByteOffset : v.ByteOffset+v.ByteLength], ""
}

// config is the size of a JPEG or PNG picture, the two that glTF 2.0 knows, before it is decoded.
func config(src []byte) (c image.Config, decode func(src []byte) (image.Image, error), err error) {
	switch {
	case bytes.HasPrefix(src, []byte("\xff\xd8")):
		c, err = jpeg.DecodeConfig(bytes.NewReader(src))
		return c, func(src []byte) (image.Image, error) { return jpeg.Decode(bytes.NewReader(src)) }, err
	case bytes.HasPrefix(src, []byte("\x89PNG\r\n\x1a\n")):
		c, err = png.DecodeConfig(bytes.NewReader(src))
		return c, func(src []byte) (image.Image, error) { return png.Decode(bytes.NewReader(src)) }, err
	}
	return c, nil, fmt.Errorf("is neither JPEG nor PNG")
}

// textures reads every texture that a material shows, once, and says which it could not read.
func (r *glbReader) textures() {
	r.tex = make([]*texture, len(r.g.Textures))
	sizes := make([]image.Config, len(r.g.Textures))
	wanted := make([]bool, len(r.g.Textures))
	left := func(t int, format string, args ...any) {
		r.m.leave(fmt.Sprintf("texture %d ", t) + fmt.Sprintf(format, args...))
	}
	all := 0
	for i := range r.g.Materials {
		t := r.g.Materials[i].PBR.Texture
		if t == nil || t.Index >= 0 && t.Index < len(wanted) && wanted[t.Index] {
			continue
		}
		if t.Extensions["KHR_texture_transform"] != nil {
			left(t.Index, "is moved by KHR_texture_transform, which is not understood")
			continue
		}
		src, why := r.picture(t.Index)
		if why != "" {
			left(t.Index, "%s", why)
			continue
		}
		c, _, err := config(src)
		n := c.Width * c.Height
		switch {
		case err != nil:
			left(t.Index, "%v", err)
		case c.Width <= 0 || c.Height <= 0 || n > mostTexels || all+n > mostAllTexels:
			left(t.Index, "has %d × %d pixels: %d million of one and %d million of all together are read at most",
				c.Width, c.Height, mostTexels>>20, mostAllTexels>>20)
		default:
			all += n
			wanted[t.Index], sizes[t.Index] = true, c
		}
	}
	by := 1
	for all/(by*by) > keptTexels {
		by++
	}
	for t, c := range sizes {
		if !wanted[t] {
			continue
		}
		src, _ := r.picture(t)
		_, decode, _ := config(src)
		img, err := decode(src)
		if err != nil || img.Bounds().Dx() != c.Width || img.Bounds().Dy() != c.Height {
			left(t, "is not whole: %v", err)
			continue
		}
		r.tex[t] = average(img, by)
	}
}

// average makes linear light of a picture, the mean of by × by pixels each.
func average(img image.Image, by int) *texture {
	b := img.Bounds()
	t := &texture{w: (b.Dx() + by - 1) / by, h: (b.Dy() + by - 1) / by}
	t.pix = make([][3]uint16, t.w*t.h)
	var lin [256]float64
	for i := range lin {
		lin[i] = linear(float64(i) / 255)
	}
	at := func(x, y int) (r, g, b uint8) { r, g, b, _ = rgba8(img.At(x, y)); return r, g, b }
	switch m := img.(type) {
	case *image.YCbCr:
		at = func(x, y int) (uint8, uint8, uint8) {
			i, j := m.YOffset(x, y), m.COffset(x, y)
			return color.YCbCrToRGB(m.Y[i], m.Cb[j], m.Cr[j])
		}
	case *image.NRGBA:
		at = func(x, y int) (uint8, uint8, uint8) {
			i := m.PixOffset(x, y)
			return m.Pix[i], m.Pix[i+1], m.Pix[i+2]
		}
	case *image.RGBA: // of PNG without alpha
		at = func(x, y int) (uint8, uint8, uint8) {
			i := m.PixOffset(x, y)
			return m.Pix[i], m.Pix[i+1], m.Pix[i+2]
		}
	}
	row := make([][3]float64, t.w)
	for j := range t.h {
		clear(row)
		y0, y1 := b.Min.Y+j*by, min(b.Max.Y, b.Min.Y+(j+1)*by)
		for y := y0; y < y1; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				r, g, bl := at(x, y)
				s := &row[(x-b.Min.X)/by]
				s[0], s[1], s[2] = s[0]+lin[r], s[1]+lin[g], s[2]+lin[bl]
			}
		}
		for i := range row {
			n := float64((y1 - y0) * (min(b.Dx(), (i+1)*by) - i*by))
			for c := range 3 {
				t.pix[j*t.w+i][c] = uint16(math.Round(65535 * row[i][c] / n))
			}
		}
	}
	return t
}

// rgba8 is a colour without its alpha, eight bits each.
func rgba8(c color.Color) (r, g, b, a uint8) {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	return n.R, n.G, n.B, n.A
}

// linear decodes sRGB (IEC 61966-2-1), 0 to 1.
func linear(x float64) float64 {
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// at is the texel at coordinates as glTF counts them, from the upper left corner, repeated.
func (t *texture) at(u, v float64) [3]uint16 {
	u, v = u-math.Floor(u), v-math.Floor(v)
	return t.pix[min(t.h-1, int(v*float64(t.h)))*t.w+min(t.w-1, int(u*float64(t.w)))]
}

// mean is the mean of a texture over a triangle, linear, by the middles of n × n equal parts of
// it: as many as it covers texels, 4096 at most; where they are to be few, one.
func (t *texture) mean(uv [3][2]float64, few bool) (c [3]float64, samples int) {
	area := math.Abs((uv[1][0]-uv[0][0])*(uv[2][1]-uv[0][1])-(uv[2][0]-uv[0][0])*(uv[1][1]-uv[0][1])) / 2 *
		float64(t.w) * float64(t.h)
	n := 1
	if area > 1 && !few {
		n = int(min(math.Ceil(math.Sqrt(area)), 64))
	}
	for i := range n {
		for j := range n - i {
			for down := range 2 {
				if down == 1 && i+j >= n-1 {
					continue
				}
				a, b := (float64(i)+(1+float64(down))/3)/float64(n), (float64(j)+(1+float64(down))/3)/float64(n)
				p := t.at(uv[0][0]+a*(uv[1][0]-uv[0][0])+b*(uv[2][0]-uv[0][0]),
					uv[0][1]+a*(uv[1][1]-uv[0][1])+b*(uv[2][1]-uv[0][1]))
				for k := range 3 {
					c[k] += float64(p[k])
				}
			}
		}
	}
	for k := range 3 {
		c[k] /= 65535 * float64(n*n)
	}
	return c, n * n
}

// paint gives the triangles from first on, of one part, their colour: the factor of the material,
// times its texture's mean over each, times the mean of the corners' own colours.
func (r *glbReader) paint(first int, base uint32, attributes map[string]int, corners int, material *int,
	own bool) error {
	has := own
	factor := [3]float64{1, 1, 1}
	var tex *texture
	var uv func(i uint32) [2]float64
	if material != nil {
		if *material < 0 || *material >= len(r.g.Materials) {
			return fmt.Errorf("a part names material %d of %d", *material, len(r.g.Materials))
		}
		p := &r.g.Materials[*material].PBR
		if len(p.Factor) >= 3 {
			has = true
			copy(factor[:], p.Factor)
		}
		if p.Texture != nil && p.Texture.Index >= 0 && p.Texture.Index < len(r.tex) && r.tex[p.Texture.Index] != nil {
			tex = r.tex[p.Texture.Index]
			a, ok := attributes[fmt.Sprintf("TEXCOORD_%d", p.Texture.TexCoord)]
			if !ok {
				tex = nil
				r.m.leave("a textured part has no texture coordinates: it is taken without colour")
				has = own
			} else {
				var err error
				if uv, err = r.coordinates(a, corners); err != nil {
					return err
				}
				has = true
			}
		} else if p.Texture != nil { // what could not be read says nothing of the colour
			has = own
		}
	}
	if !has && !r.painted {
		return nil // nothing of the file has had a colour so far
	}
	if !r.painted {
		r.painted = true
		r.m.Faces = make([][4]uint8, first, max(first, cap(r.m.Tris)))
	}
	for i := first; i < len(r.m.Tris); i++ {
		if !has {
			r.m.Faces = append(r.m.Faces, [4]uint8{})
			continue
		}
		c := factor
		ids := r.m.Tris[i]
		if tex != nil {
			few := r.samples > mostSamples
			m, n := tex.mean([3][2]float64{uv(ids[0] - base), uv(ids[1] - base), uv(ids[2] - base)}, few)
			r.samples += n
			for k := range 3 {
				c[k] *= m[k]
			}
		}
		if own {
			for k := range 3 {
				sum := 0.0
				for _, id := range ids {
					sum += linear(float64(r.m.Colours[id][k]) / 255)
				}
				c[k] *= sum / 3
			}
		}
		r.m.Faces = append(r.m.Faces, [4]uint8{codeSRGB(c[0]), codeSRGB(c[1]), codeSRGB(c[2]), 255})
	}
	return nil
}

// coordinates reads texture coordinates of so many corners.
func (r *glbReader) coordinates(a, corners int) (func(i uint32) [2]float64, error) {
	b, stride, n, err := r.data(a, 2)
	if err != nil {
		return nil, err
	}
	if n != corners || r.g.Accessors[a].Type != "VEC2" {
		return nil, fmt.Errorf("accessor %d: %d texture coordinates (%s) for %d corners", a, n,
			clip([]byte(r.g.Accessors[a].Type)), corners)
	}
	read := number(r.g.Accessors[a].ComponentType)
	if read == nil {
		return nil, fmt.Errorf("accessor %d: texture coordinates are numbers of the kind %d", a,
			r.g.Accessors[a].ComponentType)
	}
	size := int(componentBytes[r.g.Accessors[a].ComponentType])
	return func(i uint32) [2]float64 {
		at := b[int(i)*stride:]
		u, v := read(at), read(at[size:])
		if math.IsNaN(u+v) || math.IsInf(u+v, 0) {
			return [2]float64{}
		}
		return [2]float64{u, v}
	}, nil
}
