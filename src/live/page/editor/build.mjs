// Bundles the text editor of the live page into ../web/editor.js:  npm ci && npm run build
//
// The first line of the bundle names the digest of what it was made from, so that a test can tell when
// it is out of step: this script, the entry, and the lock file, in this order. Then come the licences
// of what is in it.

import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const digest = createHash("sha256");
for (const name of ["build.mjs", "entry.mjs", "package-lock.json"]) digest.update(readFileSync(here(name)));

const { outputFiles, metafile } = await build({
  entryPoints: [here("entry.mjs")],
  absWorkingDir: here("."),
  bundle: true,
  write: false,
  metafile: true,
  format: "esm",
  target: "es2022",
  minify: true,
  legalComments: "none",
  charset: "utf8",
});
const packages = Object.keys(metafile.inputs).map((path) => path.match(/^node_modules\/((?:@[^/]+\/)?[^/]+)\//)?.[1]);
const licences = new Set();
for (const name of new Set(packages.filter(Boolean).sort())) {
  licences.add(readFileSync(here(`node_modules/${name}/LICENSE`), "utf8").trim());
}
const head = `// Made by src/live/page/editor/build.mjs from sources ${digest.digest("hex")}\n/*\n${[...licences].join("\n\n")}\n*/\n`;
writeFileSync(process.argv[2] ?? here("../web/editor.js"), head + outputFiles[0].text);
