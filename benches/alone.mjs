// How fast `plyloom.html` is beside the page that the program serves, as a Markdown table: from the beginning of
// the page to its first picture, from a turn of the seed and from a save of the text to the picture, and until twelve
// cards are there. Needs Node, Chromium and chromedriver, and target/web/plyloom.html.
//
//   node benches/alone.mjs [PROGRAM]
//
// PROGRAM is target/dist/plyloom unless another is named. Each round opens both pages in turn, at the same recipe
// of 400 tiles; figures are medians, and a ratio is that of two figures of one run. Nothing here fails on a slow machine.

import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const program = resolve(process.argv[2] ?? "target/dist/plyloom");
const folder = mkdtempSync(join(tmpdir(), "alone-"));
const started = [];
const ROUNDS = 5;

const recipe = `seed(1);
let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "walnut")]);
let tile = bar(sheet.rip(sheet.thickness)).slice("block");
panel("Alone", squares(tile)).size(20, 20).fill(random("turns", tile.looks()));
`;

/** Starts a program and gives what `found` takes out of its first line that has it. */
function start(command, args, found) {
  const child = spawn(command, args, { stdio: ["ignore", "pipe", "pipe"], detached: true });
  started.push(child);
  return new Promise((done, failed) => {
    child.on("error", failed);
    for (const stream of [child.stdout, child.stderr]) {
      let text = "";
      stream.on("data", (data) => {
        text += data;
        const taken = found(text);
        if (taken) done(taken);
      });
    }
  });
}

async function ask(url, method, body) {
  const response = await fetch(url, { method, body: body && JSON.stringify(body) });
  const { value } = await response.json();
  if (value?.error) throw new Error(`${value.error}: ${value.message}`);
  return value;
}

/** Runs in the page, before its own scripts: when the first picture was there. */
const first = `(() => {
  const look = () => {
    if (document.querySelector("#view-now")?.dataset.picture) window.firstPicture ??= performance.now();
    else requestAnimationFrame(look);
  };
  look();
})()`;

/** Runs in the page: how long a turn of the seed takes, a save of the text, and twelve cards. */
async function measure(recipe) {
  const view = document.querySelector("#view-now");
  const when = (there) => new Promise((done) => {
    const look = () => (there() ? done() : requestAnimationFrame(look));
    look();
  });
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const frame = () => new Promise((done) => requestAnimationFrame(done));
  const timed = async (act) => {
    const times = [];
    for (let i = 0; i < 5; i += 1) {
      const begin = await act(i);
      const before = view.dataset.picture;
      const begun = performance.now();
      begin();
      await when(() => view.dataset.picture !== before);
      // Shown with the frame after the one in which it was put there.
      await frame();
      times.push(performance.now() - begun);
      await pause(500);
    }
    return times.sort((a, b) => a - b)[2];
  };
  const turn = await timed(() => () => document.querySelector("#seed-next").click());
  document.querySelector("#text-switch").click();
  const content = () => document.querySelector(".text-home").shadowRoot?.querySelector(".cm-content");
  await when(content);
  await pause(500);
  const save = await timed(async (i) => {
    content().focus();
    document.execCommand("selectAll");
    document.execCommand("insertText", false, recipe.replace("seed(1)", `seed(${i + 2})`));
    await pause(500);
    return () => document.querySelector("#text-save").click();
  });
  const begun = performance.now();
  document.querySelector("[data-room=variations]").click();
  await when(() => document.querySelectorAll(".wall .card img[src]").length >= 12);
  const cards = performance.now() - begun;
  return { first: window.firstPicture, turn, save, cards };
}

const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];

try {
  const driver = await start("chromedriver", ["--port=0"], (text) => text.match(/successfully on port (\d+)/)?.[1]);
  const file = join(folder, "alone.rhai");
  writeFileSync(file, recipe);
  const served = await start(program, ["watch", file, "--page"], (text) => text.match(/the page is at (\S+)/)?.[1]);
  // The file opens the same recipe, which comes in its link.
  const link = await start(program, ["pack", file, "--link"], (text) => text.match(/#\S+/)?.[0]);
  const page = join(folder, "plyloom.html");
  writeFileSync(page, readFileSync("target/web/plyloom.html"));
  const pages = { served, alone: `file://${page}${link}` };
  const found = { served: [], alone: [] };
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const [which, address] of Object.entries(pages)) {
      // A browser of its own each time: nothing is compiled or kept yet.
      const profile = mkdtempSync(join(folder, "browser-"));
      const args = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--window-size=1280,900", `--user-data-dir=${profile}`];
      const options = { browserName: "chrome", "goog:chromeOptions": { args }, timeouts: { script: 120000 } };
      const base = `http://127.0.0.1:${driver}/session`;
      const { sessionId } = await ask(base, "POST", { capabilities: { alwaysMatch: options } });
      const at = `${base}/${sessionId}`;
      await ask(`${at}/goog/cdp/execute`, "POST", { cmd: "Page.addScriptToEvaluateOnNewDocument", params: { source: first } });
      await ask(`${at}/url`, "POST", { url: address });
      const ready = "return Boolean(window.firstPicture)";
      while (!(await ask(`${at}/execute/sync`, "POST", { script: ready, args: [] }))) await new Promise((done) => setTimeout(done, 50));
      const script = `const done = arguments[1]; (${measure})(arguments[0]).then(done, (e) => done({ error: "page", message: String(e) }));`;
      found[which].push(await ask(`${at}/execute/async`, "POST", { script, args: [recipe] }));
      await ask(at, "DELETE");
    }
  }
  console.log("| | the program's page | `plyloom.html` | ratio |");
  console.log("| --- | ---: | ---: | ---: |");
  for (const [name, words] of [["first", "start to first picture"], ["turn", "turn of the seed to picture, 400 tiles"], ["save", "save of the text to picture, 400 tiles"], ["cards", "twelve cards of 400 tiles"]]) {
    const [native, alone] = [median(found.served.map((one) => one[name])), median(found.alone.map((one) => one[name]))];
    console.log(`| ${words} | ${native.toFixed(0)} ms | ${alone.toFixed(0)} ms | ${(alone / native).toFixed(1)} x |`);
  }
} finally {
  for (const child of started) {
    try {
      process.kill(-child.pid, "SIGKILL");
    } catch {
      // It has ended by itself.
    }
  }
  rmSync(folder, { recursive: true, force: true });
}
