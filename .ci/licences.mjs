// The licences of the crates that the program is built from, each with the texts that come with it:
//
//   node .ci/licences.mjs > LICENCES-OF-PARTS.txt

import { execFileSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";

const cargo = (...words) => execFileSync("cargo", words, { encoding: "utf8", maxBuffer: 1 << 28 });

const { packages } = JSON.parse(cargo("metadata", "--locked", "--format-version", "1"));
// What goes into the program on any system; tests and what only builds it do not.
const tree = cargo("tree", "--locked", "--edges", "normal", "--target", "all", "--prefix", "none", "--format", "{p}");
const wanted = new Set(tree.split("\n").map((line) => line.split(" ").slice(0, 2).join(" ")));
const parts = packages
  .filter(({ name, version, source }) => source && wanted.has(`${name} v${version}`))
  .sort((a, b) => (`${a.name} ${a.version}` < `${b.name} ${b.version}` ? -1 : 1));

const texts = new Map();
console.log("Plyloom is built from these crates, each under its own licence. The texts follow.\n");
for (const { name, version, license, repository, manifest_path: manifest } of parts) {
  console.log(`${name} ${version}: ${license ?? "see its text"}${repository ? `, ${repository}` : ""}`);
  const folder = dirname(manifest);
  for (const file of readdirSync(folder).filter((file) => /^(licen[cs]e|copying|notice|unlicense)/i.test(file)).sort()) {
    let text;
    try {
      text = readFileSync(join(folder, file), "utf8").replace(/\r\n/g, "\n").trim();
    } catch {
      // A folder of texts: the expression above names them.
      continue;
    }
    if (!texts.has(text)) texts.set(text, []);
    texts.get(text).push(`${name} ${version}`);
  }
}
for (const [text, names] of texts) console.log(`\n${"=".repeat(78)}\n${names.join(", ")}\n${"-".repeat(78)}\n${text}`);
