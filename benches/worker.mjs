// How long the core takes as WebAssembly beside the program, demo by demo, as a Markdown table: to carry a recipe out and
// draw it. Needs Node and what web/build makes.
//
//   node benches/worker.mjs [PROGRAM]
//
// PROGRAM is target/dist/plyloom unless another is named. Of it the figure is a `preview`, less what a process takes that
// only tells its version; of the core, a session that is opened and run, and its drawing. Figures are medians.

import { execFileSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const program = resolve(process.argv[2] ?? "target/dist/plyloom");
const module = new WebAssembly.Module(readFileSync("target/web/wasm32-unknown-unknown/release/plyloom_web.wasm.small"));
const core = new WebAssembly.Instance(module, { page: { now: () => performance.now() } }).exports;
const ROUNDS = 7;

function ask(question) {
  const bytes = new TextEncoder().encode(JSON.stringify(question));
  const at = core.room(bytes.length);
  new Uint8Array(core.memory.buffer, at, bytes.length).set(bytes);
  const from = core.ask();
  return new Uint8Array(core.memory.buffer, from, core.length());
}

const body = (answer) => new TextDecoder().decode(answer.subarray(answer.indexOf(10) + 1));

function median(work) {
  const times = Array.from({ length: ROUNDS }, () => {
    const begun = performance.now();
    work();
    return performance.now() - begun;
  });
  return times.sort((a, b) => a - b)[Math.floor(ROUNDS / 2)];
}

const folder = mkdtempSync(join(tmpdir(), "worker-"));
try {
  const recipes = readdirSync("demo-patterns").filter((name) => name.endsWith(".rhai"));
  for (const name of recipes) copyFileSync(join("demo-patterns", name), join(folder, name));
  const run = (...words) => execFileSync(program, words, { cwd: folder, stdio: "ignore" });
  const process = median(() => run("--version"));
  const rows = recipes.map((recipe) => {
    const texts = [[recipe, readFileSync(join(folder, recipe), "utf8")]];
    const open = { open: { texts, recipe, serial: 0, turn: {}, run: true } };
    const picture = JSON.parse(body(ask(open))).shown;
    const alone = median(() => {
      ask(open);
      ask({ ask: "drawing", picture, panel: 0 });
    });
    const native = median(() => run("preview", recipe)) - process;
    return { recipe, native, alone, ratio: alone / native };
  });
  rows.sort((a, b) => a.ratio - b.ratio);
  console.log("| demo | the program | as WebAssembly | ratio |");
  console.log("| --- | ---: | ---: | ---: |");
  for (const { recipe, native, alone, ratio } of rows) {
    console.log(`| ${recipe} | ${native.toFixed(1)} ms | ${alone.toFixed(1)} ms | ${ratio.toFixed(1)} x |`);
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
