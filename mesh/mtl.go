package mesh

import (
	"bytes"
	"fmt"
	"image"
	"path"
	"strings"
)

// Bounds on an OBJ's files of materials.
const (
	mostMTL       = 16 << 20 // bytes of one
	mostPicture   = 64 << 20 // bytes of one texture
	mostMaterials = 4096
	mostOthers    = 512 // files that one mesh may name
)

// Reader reads meshes whose materials may lie in other files.
type Reader struct {
	// Files gives a file that an OBJ or its materials name, by its slashed path below the mesh's
	// own folder, of at most so many bytes; it must not follow a link out of that folder. Nil: none
	// is read.
	Files func(name string, most int64) ([]byte, error)
}

// objMaterial is what of a material counts: its diffuse reflectance (Kd, linear) and the picture of
// it (map_Kd).
type objMaterial struct {
	kd  [3]float64
	set bool // Kd is said
	tex *texture
}

// objPaint paints an OBJ's faces by its materials.
type objPaint struct {
	m       *Mesh
	files   func(name string, most int64) ([]byte, error)
	by      map[string]*objMaterial
	now     *objMaterial
	uv      [][2]float32
	ids     []int // texture corners of the face at hand; -1: none
	painted bool
	samples int
	all     int // pixels of all textures
	share   int // texels that are kept of each
	reads   int // files asked for
	seen    map[string]*texture
}

// read gives another file. A mesh that names hundreds is no scan of a room.
func (o *objPaint) read(name string, most int64) ([]byte, error) {
	if o.reads++; o.reads > mostOthers {
		return nil, fmt.Errorf("more than %d other files are named", mostOthers)
	}
	return o.files(name, most)
}

// inside is a name that a file gives as a path below its folder; why it is none, else.
func inside(dir, name string) (clean, why string) {
	n := strings.ReplaceAll(strings.TrimSpace(name), `\`, "/")
	clean = path.Join(dir, n)
	if n == "" || strings.HasPrefix(n, "/") || strings.Contains(n, ":") || clean == ".." ||
		strings.HasPrefix(clean, "../") || strings.ContainsRune(n, 0) {
		return "", "lies outside the mesh's folder"
	}
	return clean, ""
}

// library reads a file of materials (mtllib). What cannot be had is left out, with the line.
func (o *objPaint) library(line int, rest []byte) {
	left := func(format string, args ...any) {
		o.m.leave(fmt.Sprintf("line %d: ", line) + fmt.Sprintf(format, args...))
	}
	whole := strings.TrimSpace(string(rest[:min(len(rest), 1000)]))
	if o.files == nil {
		left("its colours and textures lie in another file: export all as one file (GLB)")
		return
	}
	names := []string{whole} // one name with blanks, as most programs write it; else several
	if f := strings.Fields(whole); len(f) > 1 {
		if at, why := inside("", whole); why == "" {
			if _, err := o.read(at, mostMTL); err != nil {
				names = f
			}
		}
	}
	for _, name := range names {
		at, why := inside("", name)
		if why != "" {
			left("the file of materials %q %s and is not read", clip([]byte(name)), why)
			continue
		}
		src, err := o.read(at, mostMTL)
		if err != nil {
			left("the file of materials cannot be read, so its colours are not known: %v", err)
			continue
		}
		o.materials(at, src)
	}
}

// materials reads newmtl, Kd and map_Kd. The format does not say whether Kd is linear; it is taken
// so, as renderers do.
func (o *objPaint) materials(name string, src []byte) {
	o.share = keptTexels / max(1, bytes.Count(src, []byte("map_Kd")))
	l := lines{src: src, skip: true}
	var now *objMaterial
	left := func(format string, args ...any) {
		o.m.leave(fmt.Sprintf("%s:%d: ", name, l.n) + fmt.Sprintf(format, args...))
	}
	for {
		line, ok := l.next()
		if !ok {
			return
		}
		switch word := string(field(&line)); word {
		case "newmtl":
			if len(o.by) >= mostMaterials {
				left("more than %d materials: the rest is without colour", mostMaterials)
				return
			}
			now = &objMaterial{kd: [3]float64{1, 1, 1}}
			o.by[strings.TrimSpace(string(line))] = now
		case "Kd":
			if now == nil {
				continue
			}
			p, err := l.place(&line)
			if err != nil || min(p[0], p[1], p[2]) < 0 || max(p[0], p[1], p[2]) > 1 {
				left("Kd is not three numbers from 0 to 1: it is not read")
				continue
			}
			now.kd, now.set = [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, true
		case "map_Kd":
			if now == nil {
				continue
			}
			file, moved := mapName(string(line))
			at, why := inside(path.Dir(name), file)
			switch {
			case moved:
				left("the texture %s is moved or scaled, which is not understood", clip([]byte(file)))
			case why != "":
				left("the texture %q %s and is not read", clip([]byte(file)), why)
			default:
				o.texture(now, at, left)
			}
		}
	}
}

// mapName is the file of a map_Kd line, and whether options before it move the picture.
func mapName(line string) (file string, moved bool) {
	takes := map[string]int{"-blendu": 1, "-blendv": 1, "-cc": 1, "-clamp": 1, "-imfchan": 1, "-texres": 1, "-boost": 1,
		"-bm": 1, "-type": 1, "-mm": 2, "-o": 3, "-s": 3, "-t": 3}
	rest := strings.TrimSpace(line)
	for {
		word, more, _ := strings.Cut(rest, " ")
		n, ok := takes[word]
		if !ok {
			return rest, moved
		}
		values := ""
		for range n {
			more = strings.TrimSpace(more)
			v, after, _ := strings.Cut(more, " ")
			if strings.Trim(v, "+-.0123456789eE") != "" && n == 3 { // -o, -s and -t may have fewer
				break
			}
			values, more = values+" "+v, after
		}
		rest = strings.TrimSpace(more)
		for i, v := range strings.Fields(values) {
			moved = moved || word == "-s" && strings.TrimRight(v, ".0") != "1" ||
				(word == "-o" || word == "-t") && strings.Trim(v, "+-.0") != "" && i < 2
		}
	}
}

// texture reads one picture in linear light. Memory is bounded by its size before it is decoded.
func (o *objPaint) texture(to *objMaterial, at string, left func(format string, args ...any)) {
	if t, ok := o.seen[at]; ok {
		to.tex = t
		return
	}
	o.seen[at] = nil
	src, err := o.read(at, mostPicture)
	if err != nil {
		left("the texture cannot be read: %v", err)
		return
	}
	c, decode, err := config(src)
	n := c.Width * c.Height
	switch {
	case err != nil:
		left("the texture %s %v", at, err)
		return
	case c.Width <= 0 || c.Height <= 0 || n > mostTexels || o.all+n > mostAllTexels:
		left("the texture %s has %d × %d pixels: %d million of one and %d million of all together are read at most", at,
			c.Width, c.Height, mostTexels>>20, mostAllTexels>>20)
		return
	}
	o.all += n
	by := 1
	for n/(by*by) > o.share {
		by++
	}
	img, err := decode(src)
	if err != nil || img.Bounds() == (image.Rectangle{}) || img.Bounds().Dx() != c.Width {
		left("the texture %s is not whole: %v", at, err)
		return
	}
	to.tex = average(img, by)
	o.seen[at] = to.tex
}

// use takes a material from here on (usemtl).
func (o *objPaint) use(line int, rest []byte) {
	name := strings.TrimSpace(string(rest))
	o.now = o.by[name]
	if o.now == nil && len(o.by) > 0 {
		o.m.leave(fmt.Sprintf("line %d: the material %q is in no file of materials: its faces are without colour", line,
			clip([]byte(name))))
	}
}

// corner notes the texture corner of a word of a face such as 3/7/2.
func (o *objPaint) corner(w []byte) {
	at := -1
	if o.now != nil && o.now.tex != nil {
		if _, rest, ok := bytes.Cut(w, []byte("/")); ok {
			rest, _, _ = bytes.Cut(rest, []byte("/"))
			if k, ok := whole(rest); ok {
				if k < 0 {
					k += len(o.uv) + 1
				}
				if k >= 1 && k <= len(o.uv) {
					at = k - 1
				}
			}
		}
	}
	o.ids = append(o.ids, at)
}

// face paints the triangles from first on, a fan of the face at hand.
func (o *objPaint) face(first int) {
	m := o.m
	has := o.now != nil && (o.now.set && m.Colours == nil || o.now.tex != nil)
	if has && !o.painted {
		o.painted = true
		m.Faces = make([][4]uint8, first, max(first, cap(m.Tris)))
	}
	if !o.painted {
		return
	}
	for i := first; i < len(m.Tris); i++ {
		c, ok := [3]float64{}, has
		if has {
			c = o.now.kd
		}
		if has && o.now.tex != nil {
			if c == ([3]float64{}) { // programs that leave the colour to the picture
				c = [3]float64{1, 1, 1}
			}
			k := i - first
			a, b, d := o.ids[0], o.ids[k+1], o.ids[k+2]
			if ok = a >= 0 && b >= 0 && d >= 0; ok {
				at := func(i int) [2]float64 { return [2]float64{float64(o.uv[i][0]), 1 - float64(o.uv[i][1])} }
				mean, n := o.now.tex.mean([3][2]float64{at(a), at(b), at(d)}, o.samples > mostSamples)
				o.samples += n
				for k := range c {
					c[k] *= mean[k]
				}
			} else {
				c = [3]float64{}
				m.leave("a textured face has no texture corners: it is taken without colour")
			}
		}
		switch {
		case ok:
			m.Faces = append(m.Faces, [4]uint8{codeSRGB(c[0]), codeSRGB(c[1]), codeSRGB(c[2]), 255})
		case m.Colours != nil: // by its corners, as where nothing is painted
			for _, id := range m.Tris[i] {
				for k := range c {
					c[k] += linear(float64(m.Colours[id][k])/255) / 3
				}
			}
			m.Faces = append(m.Faces, [4]uint8{codeSRGB(c[0]), codeSRGB(c[1]), codeSRGB(c[2]), 255})
		default:
			m.Faces = append(m.Faces, [4]uint8{})
		}
	}
}
