"use strict";
(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const canvas = document.getElementById("mix"), still = document.getElementById("still");
  const said = document.getElementById("said");
  const rows = [...document.querySelectorAll("[data-light]")].map((row) => ({
    row, on: row.querySelector("[type=checkbox]"), stops: row.querySelector("[type=range]"), out: row.querySelector("output"),
  }));
  const w = data.width, h = data.height, n = w * h;
  let planes = null, waiting = false;

  // Each layer is an ordinary picture of the cube root of its light over its scale.
  const cube = new Float32Array(256);
  for (let i = 0; i < 256; i++) cube[i] = (i / 255) ** 3;
  async function plane(layer) {
    const img = new Image();
    img.src = layer.picture;
    await img.decode();
    const c = document.createElement("canvas");
    c.width = w; c.height = h;
    const g = c.getContext("2d", { willReadFrequently: true });
    g.drawImage(img, 0, 0, w, h);
    const px = g.getImageData(0, 0, w, h).data, out = new Float32Array(3 * n);
    for (let i = 0, j = 0; i < 4 * n; i += 4, j += 3)
      for (let k = 0; k < 3; k++) out[j + k] = cube[px[i + k]] * layer.scale;
    return out;
  }

  const t = data.tone;
  function tone(x) { // light to print: mid-grey 0.18 stays, the clip is white
    if (!(x > 0)) return 0;
    if (t.straight) return Math.min(1, x);
    if (x >= t.clip) return 1;
    if (t.n > 0) { const p = x ** t.n; return Math.min(1, t.scale * p / (p + t.half)); }
    const join = 0.5;
    return x <= join ? x : 1 - (1 - join) * ((t.clip - x) / (t.clip - join)) ** ((t.clip - join) / (1 - join));
  }
  const gain = new Float32Array(4096); // tone(x)/x over the logarithm of x, 16 stops under the clip to 4 over it
  for (let i = 0; i < gain.length; i++) {
    const x = t.clip * 2 ** (i / gain.length * 20 - 16);
    gain[i] = tone(x) / x;
  }
  const encode = new Uint8ClampedArray(4097); // the curve of sRGB, IEC 61966-2-1
  for (let i = 0; i <= 4096; i++) {
    const v = i / 4096;
    encode[i] = 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055) + 0.5;
  }

  const stopsOf = (r) => (r.on.checked ? Number(r.stops.value) : -Infinity);
  const words = (v) => (v > 0 ? "+" : v < 0 ? "−" : "") + Math.abs(v).toFixed(1) + " st";

  function mix() {
    waiting = false;
    const sum = new Float32Array(3 * n), mean = [0, 0, 0];
    rows.forEach((r, k) => {
      const s = stopsOf(r);
      r.out.textContent = r.on.checked ? (Number(r.stops.value) ? words(Number(r.stops.value)) : "as shot") : "off";
      r.stops.setAttribute("aria-valuetext", r.on.checked ? words(Number(r.stops.value)) + " against as shot" : "off");
      if (s === -Infinity || !planes) return;
      const f = 2 ** s, p = planes[k];
      for (let i = 0; i < 3 * n; i++) sum[i] += f * p[i];
    });
    if (!planes) return;
    for (let i = 0; i < 3 * n; i++) mean[i % 3] += sum[i];
    const veil = mean.map((m) => m / n * t.glare), own = 1 - t.glare;
    const g = canvas.getContext("2d"), img = g.createImageData(w, h), px = img.data;
    for (let i = 0, j = 0; i < 3 * n; i += 3, j += 4) {
      let r = own * sum[i] + veil[0], gr = own * sum[i + 1] + veil[1], b = own * sum[i + 2] + veil[2];
      const y = 0.2126 * r + 0.7152 * gr + 0.0722 * b, m = Math.max(y, r, gr, b);
      px[j + 3] = 255;
      if (!(m > 0)) continue;
      const u = (Math.log2(m / t.clip) + 16) * gain.length / 20;
      const k = u >= gain.length ? 1 / m : gain[u > 0 ? u | 0 : 0];
      r *= k; gr *= k; b *= k;
      if (m > t.clip) {
        const s = 0.8 * (1 - Math.exp(-0.12 * Math.log2(m / t.clip) / 0.8));
        r += s * (1 - r); gr += s * (1 - gr); b += s * (1 - b);
      }
      px[j] = encode[Math.min(4096, r * 4096) | 0];
      px[j + 1] = encode[Math.min(4096, gr * 4096) | 0];
      px[j + 2] = encode[Math.min(4096, b * 4096) | 0];
    }
    g.putImageData(img, 0, 0);
    canvas.hidden = false; still.hidden = true;
    document.documentElement.dataset.mixed = String(1 + Number(document.documentElement.dataset.mixed || 0));
  }
  function ask(text) {
    if (text) said.textContent = text;
    if (!waiting) { waiting = true; requestAnimationFrame(mix); }
  }

  rows.forEach((r) => {
    const name = r.row.dataset.light;
    r.on.addEventListener("change", () => ask(name + (r.on.checked ? " on" : " off")));
    r.stops.addEventListener("input", () => { r.on.checked = true; ask(); });
    r.stops.addEventListener("change", () => ask(name + " " + words(Number(r.stops.value))));
  });
  const build = document.getElementById("build"), buildOut = document.getElementById("built");
  function upTo(k) {
    rows.forEach((r, i) => { r.on.checked = i < k; });
    const last = rows[k - 1];
    buildOut.textContent = k + " of " + rows.length;
    build.setAttribute("aria-valuetext", k + " of " + rows.length + ", " + last.row.dataset.light + " last");
    ask(last.row.dataset.light + " comes in, " + k + " of " + rows.length);
  }
  build.addEventListener("input", () => upTo(Number(build.value)));
  document.getElementById("all").addEventListener("click", () => {
    rows.forEach((r) => { r.on.checked = true; r.stops.value = "0"; });
    build.value = String(rows.length); buildOut.textContent = rows.length + " of " + rows.length;
    ask("all lights as they were");
  });
  document.getElementById("each").addEventListener("click", () => {
    const alone = rows.findIndex((r) => r.on.checked), single = rows.filter((r) => r.on.checked).length === 1;
    const next = single ? (alone + 1) % rows.length : 0;
    rows.forEach((r, i) => { r.on.checked = i === next; });
    ask(rows[next].row.dataset.light + " alone");
  });
  Promise.all(data.layers.map(plane)).then((p) => { planes = p; ask(); },
    () => { said.textContent = "This browser cannot mix the layers; the picture stays as it was."; });

  // The teaching form: what is hidden comes out when every question has an answer.
  const quiz = document.getElementById("quiz");
  if (quiz) {
    const asked = [...quiz.querySelectorAll("select")], done = document.getElementById("reveal");
    done.addEventListener("click", () => {
      const open = asked.filter((s) => !s.value);
      if (open.length) { said.textContent = open.length + " questions are open"; open[0].focus(); return; }
      let right = 0;
      asked.forEach((s) => {
        const ok = s.value === s.dataset.is;
        right += ok ? 1 : 0;
        s.parentElement.querySelector(".is").textContent = ok ? "yes" : "it is: " + s.dataset.is;
      });
      document.querySelectorAll("[data-hidden]").forEach((e) => { e.hidden = false; });
      said.textContent = document.getElementById("score").textContent = right + " of " + asked.length + " right";
    });
  }
})();
