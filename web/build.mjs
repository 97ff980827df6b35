// Puts plyloom.html together:  node build.mjs MODULE.wasm OUT.html
//
// Beside it comes the served form, a folder for a web space: the same page with a manifest and a service
// worker, so that it can be installed and is there without a network.
//
// The page of `plyloom watch --page` and its scripts, with the door of `page/`; the recipes that come along;
// the core, made small by wasm-opt. Scripts and core are packed by xz and written in base 85. The policy names
// the digests of the script that unpacks them and of the one style sheet, so nothing else can run but what
// that script begins, and nothing can be fetched.

import { createHash } from "node:crypto";
import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const [wasm, out] = process.argv.slice(2);
const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const text = (name) => readFileSync(here(name), "utf8");
const PAGE = "../src/live/page/web";

const common = { bundle: true, write: false, minify: true, target: "es2022", legalComments: "none", charset: "utf8" };

async function bundled(entry, plugins = [], target = common.target) {
  const { outputFiles } = await build({ ...common, target, entryPoints: [here(entry)], format: "iife", plugins });
  return outputFiles[0].text;
}

/** The recipes of `demo-patterns/`, by name. */
function demos() {
  const folder = here("../demo-patterns");
  const recipes = readdirSync(folder).filter((name) => name.endsWith(".rhai")).sort();
  return Object.fromEntries(recipes.map((name) => [basename(name, ".rhai"), readFileSync(join(folder, name), "utf8")]));
}

/** The page's own door, and what is made here, in the place of files. */
const ours = {
  name: "ours",
  setup(build) {
    build.onResolve({ filter: /\/door\.js$/ }, () => ({ path: here("page/door.js") }));
    build.onResolve({ filter: /^\.\/(worker|texts)\.js$/ }, ({ path }) => ({ path, namespace: "made" }));
    build.onLoad({ filter: /worker/, namespace: "made" }, async () => ({
      contents: `export const source = ${JSON.stringify(await bundled("page/worker.js"))};`,
    }));
    build.onLoad({ filter: /texts/, namespace: "made" }, () => ({
      contents: [
        `export const demos = ${JSON.stringify(demos())};`,
        `export const firstRecipe = ${JSON.stringify(text("../src/cli/new_recipe.rhai"))};`,
        `export const newShop = ${JSON.stringify(text("../src/plan/shop/new.toml"))};`,
      ].join("\n"),
    }));
  },
};

/** Packed as the decoder of `begin.js` reads it: its checks know CRC32 alone. */
function xz(bytes) {
  const lzma = "--lzma2=preset=9e,dict=8MiB,lc=4,lp=0,pb=0,nice=273,depth=1000";
  return execFileSync("xz", ["--format=xz", "--check=crc32", lzma, "--threads=1", "--stdout"], { input: bytes, maxBuffer: 1 << 28 });
}

/** Four bytes as five letters, as in PDF (Ascii85, without its short forms), but with `~` for `<`, which is markup. */
function base85(bytes) {
  const whole = Buffer.concat([bytes, Buffer.alloc(-bytes.length & 3)]);
  const letters = Buffer.alloc((whole.length / 4) * 5);
  for (let from = 0, to = 0; from < whole.length; from += 4, to += 5) {
    let left = whole.readUInt32BE(from);
    for (let i = 4; i >= 0; i -= 1) {
      const letter = 33 + (left % 85);
      letters[to + i] = letter === 60 ? 126 : letter;
      left = Math.floor(left / 85);
    }
  }
  return letters.toString("latin1");
}

/** The core, as small as it gets; of WebAssembly, no more than the compiler says that it uses. */
function core() {
  const small = `${wasm}.small`;
  const options = ["-Oz", "--strip-debug", "--strip-producers"];
  const made = existsSync(small) && statSync(small).mtimeMs > Math.max(statSync(wasm).mtimeMs, statSync(here("build.mjs")).mtimeMs);
  if (!made) execFileSync(here("node_modules/.bin/wasm-opt"), [wasm, ...options, "-o", small], { stdio: "inherit" });
  return readFileSync(small);
}

const digest = (part) => `'sha256-${createHash("sha256").update(part).digest("base64")}'`;
const module = core();
const script = Buffer.from(await bundled(`${PAGE}/main.js`, [ours]));
const length = Buffer.alloc(4);
length.writeUInt32BE(script.length);
const packed = xz(Buffer.concat([length, script, module]));
const begin = await bundled("page/begin.js", [], "es2017");
const { outputFiles } = await build({
  ...common,
  stdin: { contents: text(`${PAGE}/page.css`) + text("page/desk.css"), loader: "css" },
});
const style = outputFiles[0].text;
const sign = `data:image/svg+xml,${encodeURIComponent(text(`${PAGE}/sign.svg`))}`;
const policy = (served) => [
  "default-src 'none'",
  `script-src ${digest(begin)} 'strict-dynamic' 'wasm-unsafe-eval'`,
  `style-src ${digest(style)}`,
  // The icons of the manifest come from the web space.
  `img-src blob: data:${served ? " 'self'" : ""}`,
  `worker-src blob:${served ? " 'self'" : ""}`,
  ...(served ? ["manifest-src 'self'"] : []),
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");

/** The page; the served one names its manifest. */
function put(served) {
  const manifest = served ? '\n<link rel="manifest" href="plyloom.webmanifest">' : "";
  const parts = {
    '<meta charset="utf-8">': `<meta charset="utf-8">\n<meta http-equiv="content-security-policy" content="${policy(served)}">`,
    '<link rel="icon" href="/sign.svg" type="image/svg+xml">': `<link rel="icon" href="${sign}" type="image/svg+xml">${manifest}`,
    '<link rel="stylesheet" href="/page/page.css">': `<style>${style}</style>`,
    '<script type="module" src="/page/main.js"></script>\n': "",
    'src="/sign.svg"': `src="${sign}"`,
    "This page needs its own scripts, which come from your machine alone.": "This page needs the scripts that are in it.",
    "</body>": `<script type="application/octet-stream" id="packed">${base85(packed)}</script>\n<script>${begin}</script>\n</body>`,
  };
  let page = text(`${PAGE}/page.html`);
  for (const [part, ours] of Object.entries(parts)) {
    if (page.split(part).length !== 2) throw new Error(`page.html does not have \`${part}\` once`);
    page = page.replace(part, () => ours);
  }
  return page;
}

const page = put(false);
writeFileSync(out, page);

const folder = join(dirname(out), "served");
const served = put(true);
const named = JSON.stringify(createHash("sha256").update(served).digest("hex").slice(0, 16));
const { outputFiles: offline } = await build({ ...common, entryPoints: [here("page/offline.js")], define: { DIGEST: named } });
const manifest = {
  name: "Plyloom",
  description: "Patterned plywood from short recipes",
  start_url: "./",
  display: "standalone",
  background_color: "#f7f2e8",
  theme_color: "#80461b",
  icons: [
    { src: "sign.svg", sizes: "any", type: "image/svg+xml" },
    // Not all that install take drawings. By `rsvg-convert -w 512 -h 512 sign.svg`.
    { src: "sign.png", sizes: "512x512", type: "image/png" },
  ],
};
mkdirSync(folder, { recursive: true });
writeFileSync(join(folder, "index.html"), served);
writeFileSync(join(folder, "sw.js"), offline[0].text);
writeFileSync(join(folder, "plyloom.webmanifest"), JSON.stringify(manifest));
writeFileSync(join(folder, "sign.svg"), text(`${PAGE}/sign.svg`));
writeFileSync(join(folder, "sign.png"), readFileSync(here("page/sign.png")));

const kb = (bytes) => `${Math.round(bytes / 1000)} kB`;
const alone = (part) => kb(xz(part).length);
console.log(`core ${kb(statSync(wasm).size)}, by wasm-opt ${kb(module.length)}, by xz ${alone(module)}`);
console.log(`script ${kb(script.length)}, by xz ${alone(script)}; style ${kb(style.length)}`);
console.log(`${out}: ${(page.length / 1e6).toFixed(2)} MB`);
