// Asks the core under Node.js, as the page's worker does:  node ask.mjs MODULE.wasm
//
// Each line of the input is a question in JSON, each line of the output its answer in base64; `ended: HOW` is
// one that ended the core, which then begins anew.

import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";

const module = new WebAssembly.Module(readFileSync(process.argv[2]));
let core = null;

function begin() {
  core = new WebAssembly.Instance(module, { page: { now: () => performance.now() } }).exports;
}

function asked(question) {
  const bytes = new TextEncoder().encode(question);
  const at = core.room(bytes.length);
  new Uint8Array(core.memory.buffer, at, bytes.length).set(bytes);
  const from = core.ask();
  return Buffer.from(new Uint8Array(core.memory.buffer, from, core.length())).toString("base64");
}

begin();
for await (const question of createInterface({ input: process.stdin })) {
  try {
    console.log(asked(question));
  } catch (error) {
    console.log(`ended: ${core.waited() ? "held" : core.panicked() ? "broken" : error.message}`);
    begin();
  }
}
