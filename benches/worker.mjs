// How long the core takes as WebAssembly beside the program, demo by demo, as a Markdown table: to carry a recipe out and
// draw it. Needs Node and what web/build makes.
//
//   node benches/worker.mjs [PROGRAM]
//
// PROGRAM is target/dist/plyloom unless another is named. Of it the figure is a `preview`, less what a process takes that
// only tells its version; of the core, a session that is opened and run, and its drawing. Both take turns, and figures are
// medians. A browser first makes quick code of WebAssembly and good code of what is used often, beside the work: the core is
// measured once that is done for a demo, as it is while knobs are turned; what its first run takes stands beside it.

import { execFileSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const program = resolve(process.argv[2] ?? "target/dist/plyloom");
const module = new WebAssembly.Module(readFileSync("target/web/wasm32-unknown-unknown/release/plyloom_web.wasm.small"));
const core = new WebAssembly.Instance(module, { page: { now: () => performance.now() } }).exports;
const ROUNDS = 15;
/** So often a demo is run before it counts. */
const BEFORE = 25;

function ask(question) {
  const bytes = new TextEncoder().encode(JSON.stringify(question));
  const at = core.room(bytes.length);
  new Uint8Array(core.memory.buffer, at, bytes.length).set(bytes);
  const from = core.ask();
  return new Uint8Array(core.memory.buffer, from, core.length());
}

const body = (answer) => new TextDecoder().decode(answer.subarray(answer.indexOf(10) + 1));

const median = (times) => times.sort((a, b) => a - b)[Math.floor(times.length / 2)];

function timed(work) {
  const begun = performance.now();
  work();
  return performance.now() - begun;
}

/** How long each of two takes, in turn. */
function inTurn(one, other) {
  const times = Array.from({ length: ROUNDS }, () => [timed(one), timed(other)]);
  return [0, 1].map((i) => median(times.map((both) => both[i])));
}

const folder = mkdtempSync(join(tmpdir(), "worker-"));
try {
  const recipes = readdirSync("demo-patterns").filter((name) => name.endsWith(".rhai"));
  for (const name of recipes) copyFileSync(join("demo-patterns", name), join(folder, name));
  const run = (...words) => execFileSync(program, words, { cwd: folder, stdio: "ignore" });
  const process = median(Array.from({ length: ROUNDS }, () => timed(() => run("--version"))));
  const rows = recipes.map((recipe) => {
    const texts = [[recipe, readFileSync(join(folder, recipe), "utf8")]];
    const open = { open: { texts, recipe, serial: 0, turn: {}, run: true } };
    const alone = () => {
      const picture = JSON.parse(body(ask(open))).shown;
      ask({ ask: "drawing", picture, panel: 0 });
    };
    const first = timed(alone);
    for (let i = 0; i < BEFORE; i += 1) alone();
    const [whole, after] = inTurn(() => run("preview", recipe), alone);
    const native = whole - process;
    return { recipe, native, first, alone: after, ratio: after / native };
  });
  rows.sort((a, b) => a.ratio - b.ratio);
  console.log("| demo | the program | as WebAssembly | ratio | its first run |");
  console.log("| --- | ---: | ---: | ---: | ---: |");
  for (const { recipe, native, alone, ratio, first } of rows) {
    console.log(`| ${recipe} | ${native.toFixed(1)} ms | ${alone.toFixed(1)} ms | ${ratio.toFixed(1)} x | ${first.toFixed(1)} ms |`);
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
