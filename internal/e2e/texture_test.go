package e2e

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"halfstop/geom"
	"halfstop/material"
	"halfstop/spectrum"
	"halfstop/stage"
)

// TestTexturesInPage: the page's tracer and the program show the same joints, boards and weave: at
// 512 places on faces of every side the two give one factor to 0.01, but for as many as lie at the
// very edge of a joint, where 32 bits decide otherwise than 64 (1 %). Every kind of surface that
// the program gives a pattern has one there.
func TestTexturesInPage(t *testing.T) {
	t.Parallel()
	code, err := os.ReadFile("../../web/src/gpu/texture.wgsl")
	if err != nil {
		t.Fatal(err)
	}
	names := []string{"white tile", "red brick", "light wood", "grey lino", "painted canvas grey", "navy wool",
		"white emulsion"}
	const each = 512
	r := rand.New(rand.NewPCG(1, 2))
	var points []float32
	var want []float64
	for _, name := range names {
		m := stage.Material(material.Surface{Name: name, Diffuse: spectrum.Constant(0.5)})
		if m.Texture == nil || m.Pattern == 0 {
			t.Fatalf("%s has pattern %d, and no texture that the page knows", name, m.Pattern)
		}
		for i := range each {
			n := [3]geom.Vec{{Z: 1}, {Y: -1}, {X: 1}}[i%3]
			p := [3]float32{float32(12*r.Float64() - 4), float32(12*r.Float64() - 4), float32(3 * r.Float64())}
			points = append(points, p[0], p[1], p[2], 0, float32(n.X), float32(n.Y), float32(n.Z), float32(m.Pattern))
			want = append(want, float64(m.Texture(geom.V(float64(p[0]), float64(p[1]), float64(p[2])), n)))
		}
	}
	src, _ := json.Marshal(string(code) + `
@group(0) @binding(0) var<storage, read> places: array<vec4f>;
@group(0) @binding(1) var<storage, read_write> factors: array<f32>;
@compute @workgroup_size(64) fn main(@builtin(global_invocation_id) g: vec3u) {
  if (g.x >= arrayLength(&factors)) { return; }
  let n = places[2u * g.x + 1u];
  factors[g.x] = textureAt(u32(n.w), places[2u * g.x].xyz, n.xyz);
}`)
	list, _ := json.Marshal(points)
	address, _ := serveText(t, "halfstop: 1\nsetups: [{name: A}]\n")
	p := open(t, software(t), address, 400, 300)
	p.Do(chromedp.Navigate("http://" + address + "/"))
	p.Run(fmt.Sprintf(`(async () => {
  const d = await (await navigator.gpu.requestAdapter()).requestDevice(), list = new Float32Array(%s), n = list.length / 8;
  const use = GPUBufferUsage, buffer = (size, usage) => d.createBuffer({ size, usage });
  const at = buffer(list.byteLength, use.STORAGE | use.COPY_DST), to = buffer(4 * n, use.STORAGE | use.COPY_SRC),
    back = buffer(4 * n, use.COPY_DST | use.MAP_READ);
  d.queue.writeBuffer(at, 0, list);
  const pipe = d.createComputePipeline({ layout: "auto", compute: { module: d.createShaderModule({ code: %s }) } });
  const e = d.createCommandEncoder(), pass = e.beginComputePass();
  pass.setPipeline(pipe);
  pass.setBindGroup(0, d.createBindGroup({ layout: pipe.getBindGroupLayout(0),
    entries: [at, to].map((b, binding) => ({ binding, resource: { buffer: b } })) }));
  pass.dispatchWorkgroups(Math.ceil(n / 64));
  pass.end();
  e.copyBufferToBuffer(to, 0, back, 0, 4 * n);
  d.queue.submit([e.finish()]);
  await back.mapAsync(GPUMapMode.READ);
  window.factors = JSON.stringify([...new Float32Array(back.getMappedRange())]);
})().catch((e) => { window.factors = String(e); });`, list, src))
	p.Until("the factors", `window.factors !== undefined`, 60*time.Second)
	var got []float64
	if err := json.Unmarshal([]byte(p.Str(`window.factors`)), &got); err != nil || len(got) != len(want) {
		t.Fatalf("%d factors, %d wanted: %v: %.200s", len(got), len(want), err, p.Str(`window.factors`))
	}
	for k, name := range names {
		off := 0
		for i := k * each; i < (k+1)*each; i++ {
			if math.Abs(got[i]-want[i]) > 0.01 {
				off++
			}
		}
		if off > each/100 {
			t.Errorf("%s: %d of %d places differ; the first is %.3f here, %.3f there", name, off, each, want[k*each],
				got[k*each])
		}
	}
	p.Clean("WebGPU", "swiftshader", "SwiftShader")
}
