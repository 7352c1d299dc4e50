// Builds the page into dist, the same bytes for the same sources. --check:
// builds aside and compares.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync, existsSync, statSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

const here = import.meta.dirname;
const args = new Set(process.argv.slice(2));

function walk(dir, base = dir) {
  return readdirSync(dir).sort().flatMap((n) => (statSync(join(dir, n)).isDirectory() ? walk(join(dir, n), base)
    : [join(dir, n).slice(base.length + 1)]));
}

// Shaders come in as text, without comments and indents.
const wgsl = {
  name: "wgsl",
  setup: (b) => b.onLoad({ filter: /\.wgsl$/ }, ({ path }) => ({
    loader: "text",
    contents: readFileSync(path, "utf8").replace(/\/\/.*$/gm, "").replace(/[ \t]+/g, " ").replace(/\s*\n\s*/g, "\n"),
  })),
};

// Layers: a folder imports itself and what stands before it.
// Lines, templates as well, fit beside each other on a screen.
const widest = 120;
const order = ["units", "model", "gpu", "state", "actions", "draw", "panels"];
const sources = ["src", "floor"].flatMap((d) => walk(join(here, d)).map((f) => [d, f]))
  .filter(([, f]) => f.endsWith(".ts"));
for (const [folder, f] of sources) {
  const text = readFileSync(join(here, folder, f), "utf8");
  const lines = text.split("\n");
  if (lines.length > 450 && f !== "model/wire.ts") throw new Error(`${f} has ${lines.length} lines; the limit is 450`);
  const wide = lines.findIndex((l) => l.length > widest);
  if (wide >= 0) {
    const says = `${f}:${wide + 1} is wider than ${widest} columns (templates too: a break beside a tag is nothing)`;
    if (args.has("--check")) throw new Error(says);
    console.warn(says);
  }
  const mine = order.indexOf(f.split("/")[0]);
  for (const [, to] of text.matchAll(/from "\.\.\/([a-z]+)\//g)) {
    if (mine >= 0 && order.indexOf(to) > mine) throw new Error(`${f} imports ${to}, which stands above it`);
  }
}

const hash = (b) => createHash("sha256").update(b).digest("hex").slice(0, 10);
const out = new Map();
const font = readFileSync(join(here, "font/inter-subset.woff2"));
const fontName = `inter-${hash(font)}.woff2`;
out.set("assets/OFL.txt", readFileSync(join(here, "font/OFL.txt")));

/** Bundles the page of a folder into dist. */
async function page(from, name, to) {
  const css = Buffer.from(
    (await build({ entryPoints: [join(here, from, `${name}.css`)], bundle: true, minify: true, write: false,
      external: ["*.woff2"], target: "chrome110" })).outputFiles[0].text.replace("inter-subset.woff2", fontName),
  );
  const js = Buffer.from(
    (await build({ entryPoints: [join(here, from, `${name}.ts`)], bundle: true, minify: true, write: false,
      format: "esm", target: "es2022", legalComments: "none", absWorkingDir: here, plugins: [wgsl] })).outputFiles[0].contents,
  );
  const jsName = `${name}-${hash(js)}.js`, cssName = `${name}-${hash(css)}.css`;
  out.set(`${to}assets/${jsName}`, js);
  out.set(`${to}assets/${cssName}`, css);
  out.set(`${to}assets/${fontName}`, font);
  out.set(`${to}index.html`, Buffer.from(readFileSync(join(here, from, "index.html"), "utf8")
    .replace(`${name}.js`, `assets/${jsName}`).replace(`${name}.css`, `assets/${cssName}`)
    .replace("font.woff2", `assets/${fontName}`)));
}
await page("src", "page", "");
await page("floor", "floor", "floor/");

const dist = join(here, "dist");
if (args.has("--check")) {
  const have = existsSync(dist) ? walk(dist) : [];
  const miss = [...out].filter(([n, b]) => !have.includes(n) || !readFileSync(join(dist, n)).equals(b)).map(([n]) => n);
  const extra = have.filter((n) => !out.has(n));
  if (miss.length || extra.length)
    throw new Error(`dist is not fresh (${[...miss, ...extra].join(", ")}): run make web`);
} else {
  rmSync(dist, { recursive: true, force: true });
  for (const [n, b] of out) {
    mkdirSync(join(dist, n, ".."), { recursive: true });
    writeFileSync(join(dist, n), b);
  }
}
for (const [name, floor, most] of [["page", false, 350], ["floor", true, 100]]) {
  const weight = [...out].filter(([n]) => n !== "assets/OFL.txt" && n.startsWith("floor/") === floor)
    .reduce((a, [n, b]) => a + (n.endsWith(".woff2") ? b.length : gzipSync(b).length), 0);
  if (weight > most * 1024) throw new Error(`${name} weighs ${weight} bytes gzipped; the limit is ${most} KiB`);
  console.log(`${name} ${(weight / 1024).toFixed(0)} KiB gzipped with its font`);
}
