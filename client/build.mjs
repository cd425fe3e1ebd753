// Bundles the client into the folder the binary embeds. `go run ./embed/build` calls it after it has
// built the engine; the environment says where things are (defaults fit a call by hand):
//   BB_WEB   folder with engine.wasm, engine.pack and wasm_exec.js      BB_OUT  where the result goes
//   BB_DEV=1 readable and uncompressed                     BB_VERSION  shown in "About"
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { brotliCompressSync, gzipSync, constants } from "node:zlib";
import * as fs from "node:fs";
import * as path from "node:path";
import { fileURLToPath } from "node:url";

const here = path.dirname(fileURLToPath(import.meta.url));
const web = process.env.BB_WEB ?? path.join(here, "../bin/web");
const out = process.env.BB_OUT ?? path.join(here, "../embed/dist");
const dev = process.env.BB_DEV === "1";
const version = process.env.BB_VERSION ?? "dev";

const hash = (bytes) => createHash("sha256").update(bytes).digest("hex").slice(0, 10);
const read = (name) => fs.readFileSync(path.join(here, name));

/** Files by URL path, written only when everything has been built. */
const files = new Map();

/** Packages by others of which something was bundled. */
const packages = new Set();

/** put keeps bytes under a name that changes with them, and returns its path. */
function put(name, bytes) {
  const dot = name.lastIndexOf(".");
  const url = `/${name.slice(0, dot)}.${hash(bytes)}${name.slice(dot)}`;
  files.set(url, bytes);
  return url;
}

const common = {
  bundle: true, write: false, format: "esm", target: ["chrome109", "safari16", "firefox115"],
  minify: !dev, legalComments: "none", logLevel: "warning", charset: "utf8",
  jsx: "automatic", jsxImportSource: "preact",
  alias: { "go-exec": path.join(web, "wasm_exec.js") },
};

async function bundle(entry, define = {}) {
  const asText = Object.fromEntries(Object.entries(define).map(([k, v]) => [k, JSON.stringify(v)]));
  const made = await build({ ...common, entryPoints: [path.join(here, entry)], outdir: "x", define: asText, metafile: true });
  note(made.metafile);
  return made.outputFiles;
}

/**
 * screens bundles the screen. What is imported with import() becomes files of its own, and so does what
 * they share with the rest: they name each other, so they are named by the bundler. needs are the files
 * that the first one cannot do without; the page fetches them beside it, not after it.
 */
async function screens(define) {
  const asText = Object.fromEntries(Object.entries(define).map(([k, v]) => [k, JSON.stringify(v)]));
  const made = await build({ ...common, entryPoints: { app: path.join(here, "ui/main.tsx") }, outdir: out, define: asText,
    splitting: true, metafile: true, entryNames: "[name].[hash]", chunkNames: "part.[hash]" });
  note(made.metafile);
  for (const f of made.outputFiles) files.set("/" + path.basename(f.path), Buffer.from(f.contents));
  const [name, app] = Object.entries(made.metafile.outputs).find(([, o]) => o.entryPoint?.endsWith("ui/main.tsx"));
  const needs = app.imports.filter((i) => i.kind === "import-statement").map((i) => "/" + path.basename(i.path));
  return { app: "/" + path.basename(name), needs };
}

/** note remembers the packages that a bundle took something from. */
function note(metafile) {
  for (const input of Object.keys(metafile.inputs)) {
    const name = /node_modules\/((?:@[^/]+\/)?[^/]+)\/(?!.*node_modules\/)/.exec(input);
    if (name) packages.add(name[1]);
  }
}

/**
 * licences is one text with the licences of everything by others in the program and the app: they ask to be passed
 * on with it. The build tool knows what is in the program, the bundler what is in the app. Parts under the very
 * same text stand together above it.
 */
function licences() {
  const list = path.join(web, "licences.json");
  const parts = fs.existsSync(list) ? JSON.parse(fs.readFileSync(list)) : [];
  for (const name of [...packages].sort()) {
    const dir = path.join(here, "node_modules", name);
    const texts = fs.readdirSync(dir).filter((f) => /^(licen[cs]e|notice|copying)/i.test(f)).map((f) => fs.readFileSync(path.join(dir, f), "utf8"));
    if (!texts.length) throw new Error(`${name} comes without a licence, and may not be passed on without one`);
    parts.push({ name: `${name} ${JSON.parse(fs.readFileSync(path.join(dir, "package.json"))).version}`, texts });
  }
  const under = new Map();
  for (const part of parts) {
    for (const text of part.texts) {
      const same = text.split(/\s+/).join(" ").trim();
      const entry = under.get(same) ?? { names: [], text: text.replace(/\r/g, "").trim() };
      if (!entry.names.includes(part.name)) entry.names.push(part.name);
      under.set(same, entry);
    }
  }
  const head = "Batterboard is made with parts by others. Here is what everything in the program and in the app may be used under.\n";
  return head + [...under.values()].map(({ names, text }) => `\n${"=".repeat(72)}\n${names.join("\n")}\n${"=".repeat(72)}\n\n${text}\n`).join("");
}

const wasm = await engine();
const [workerCode] = await bundle("worker/main.ts", { WASM_URL: wasm });
const worker = put("worker.js", Buffer.from(workerCode.contents));
const { app: js, needs } = await screens({ WORKER_URL: worker, VERSION: version });
const css = await bundle("ui/look/app.css");
const style = put("app.css", Buffer.from(css[0].contents));

const icons = Object.fromEntries(
  ["mark.svg", "icon-192.png", "icon-512.png", "icon-maskable-512.png", "apple-touch.png"]
    .map((name) => [name, put(name, read(`icons/${name}`))]));
const manifest = put("manifest.webmanifest",
  Buffer.from(read("icons/manifest.json").toString().replace(/\{(icon[^}]*|mark[^}]*)\}/g, (_, n) => icons[n])));

const page = read("ui/index.html").toString()
  .replaceAll("{style}", style).replaceAll("{app}", js).replaceAll("{needs}", needs.map((url) => `<link rel="modulepreload" href="${url}">`).join("\n")).replaceAll("{worker}", worker)
  .replaceAll("{manifest}", manifest).replaceAll("{mark}", icons["mark.svg"]).replaceAll("{touch}", icons["apple-touch.png"]);
files.set("/index.html", Buffer.from(page));

// The service worker names every file it keeps; its own bytes change when any of them does, which is
// how a browser notices a new version.
const keep = ["/", ...[...files.keys()].filter((url) => url !== "/index.html")];
const [sw] = await bundle("sw/sw.ts", { KEEP: keep, BUILD: hash(Buffer.from(page + keep.join())) });
files.set("/sw.js", Buffer.from(sw.contents));
files.set("/licences.txt", Buffer.from(licences())); // not kept on phones: nobody on site needs it

write();
report();

/** engine puts the planner: packed when it comes out of the packing as it went in, else as it is. */
async function engine() {
  const plain = fs.readFileSync(path.join(web, "engine.wasm")), packed = path.join(web, "engine.pack");
  if (dev || !fs.existsSync(packed)) return put("engine.wasm", plain);
  const small = fs.readFileSync(packed);
  const [code] = await bundle("worker/unpack.ts");
  const { unpack } = await import("data:text/javascript;base64," + Buffer.from(code.contents).toString("base64"));
  let back = Buffer.alloc(0), why = "other bytes came out";
  try {
    back = unpack(small);
  } catch (e) { // what was packed wrong may not even read
    why = e.message;
  }
  if (Buffer.compare(back, plain) === 0) return put("engine.pack", small);
  console.error(`the packed engine is not the engine (${why}): it is shipped as it is`);
  return put("engine.wasm", plain);
}

function write() {
  fs.mkdirSync(out, { recursive: true });
  for (const name of fs.readdirSync(out)) if (name !== ".gitignore") fs.rmSync(path.join(out, name), { recursive: true });
  for (const [url, bytes] of files) {
    const file = path.join(out, url);
    fs.writeFileSync(file, bytes);
    if (!dev && !url.endsWith(".png")) pack(file, bytes);
  }
}

/** pack writes file.br and file.gz. The engine takes seconds, so its packed form is kept by its hash. */
function pack(file, bytes) {
  const kept = path.join(web, "packed", hash(bytes));
  if (!fs.existsSync(kept + ".gz")) {
    fs.mkdirSync(path.dirname(kept), { recursive: true });
    const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length };
    keepWhole(kept + ".br", brotliCompressSync(bytes, { params }));
    keepWhole(kept + ".gz", gzipSync(bytes, { level: 9 }));
  }
  fs.copyFileSync(kept + ".br", file + ".br");
  fs.copyFileSync(kept + ".gz", file + ".gz");
}

/** keepWhole writes a file that is there whole or not at all: the next build would believe half of one. */
function keepWhole(name, bytes) {
  fs.writeFileSync(name + ".part", bytes);
  fs.renameSync(name + ".part", name);
}

function report() {
  for (const [url, bytes] of files) {
    const br = path.join(out, url + ".br");
    const packed = fs.existsSync(br) ? `, ${(fs.statSync(br).size / 1000).toFixed(1)} kB br` : "";
    console.log(`${url.padEnd(40)} ${(bytes.length / 1000).toFixed(1)} kB${packed}`);
  }
}
