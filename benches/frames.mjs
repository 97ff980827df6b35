// How smoothly the live page moves: pictures a second while a panel is moved and zoomed, and how long
// after that until it stands sharp, as a Markdown table. Needs Node, Chromium and chromedriver.
//
//   node benches/frames.mjs [PROGRAM] [--marks]
//
// PROGRAM is target/dist/plyloom unless another is named. `--marks` shows joints meanwhile. Pictures
// are counted by the page's own frames: the browser asks for the next one only when it has taken in the one before.
// How many it gives at the same moment while an empty square alone is moved is the most that there could be; while
// a plain layer as large as the stage is moved there, the most for so many pixels that change.
// Nothing here fails on a slow machine; there is no graphics card in use.

import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const words = process.argv.slice(2);
const marks = words.includes("--marks");
const program = resolve(words.find((w) => !w.startsWith("--")) ?? "target/dist/plyloom");
const folder = mkdtempSync(join(tmpdir(), "frames-"));
const started = [];

/** Square tiles of a sheet with two dyed veneers and thirteen plies, each turned by chance. */
const SIZES = [[10, 10], [50, 40], [160, 125], [400, 250]];
const recipe = (columns, courses) => `seed(1);
let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7), veneer(0.6, "walnut")]);
let tile = bar(sheet.rip(sheet.thickness)).slice("block");
panel("Frames", squares(tile)).size(${columns}, ${courses}).fill(random("turns", tile.looks()));
`;

/** Starts a program and gives the first line that `found` takes something out of. */
function start(command, args, found) {
  const child = spawn(command, args, { stdio: ["ignore", "pipe", "pipe"], detached: true });
  started.push(child);
  return new Promise((done, failed) => {
    child.on("error", failed);
    for (const stream of [child.stdout, child.stderr]) {
      let text = "";
      stream.on("data", (data) => {
        text += data;
        for (const line of text.split("\n").slice(0, -1)) {
          const taken = found(line);
          if (taken) done(taken);
        }
        text = text.slice(text.lastIndexOf("\n") + 1);
      });
    }
  });
}

function endAll() {
  for (const child of started) {
    try {
      process.kill(-child.pid, "SIGKILL");
    } catch {
      // It has ended by itself.
    }
  }
  rmSync(folder, { recursive: true, force: true });
}

async function ask(url, method, body) {
  const response = await fetch(url, { method, body: body && JSON.stringify(body) });
  const { value } = await response.json();
  if (value?.error) throw new Error(`${value.error}: ${value.message}`);
  return value;
}

/** What runs in the page: moves the panel as a hand would, one step a frame, and counts frames. */
async function measure(marked) {
  const stage = document.querySelector("#view-now .stage");
  const view = document.querySelector("#view-now");
  const box = stage.getBoundingClientRect();
  const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
  const frame = () => new Promise((done) => requestAnimationFrame(done));
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const pointer = (type, at) =>
    stage.dispatchEvent(new PointerEvent(type, { pointerId: 1, clientX: at[0], clientY: at[1], buttons: 1, bubbles: true }));
  stage.setPointerCapture = () => {};
  if (marked) document.querySelector("[data-mark=joints]").click();
  const sharp = async () => {
    while (view.dataset.at !== "sharp") await frame();
    // Shown with the frame after the one in which it was put there.
    await frame();
    await frame();
  };
  const counted = async (step) => {
    const begun = performance.now();
    let [frames, longest, last] = [0, 0, begun];
    while (performance.now() - begun < 2000) {
      await frame();
      const now = performance.now();
      longest = Math.max(longest, now - last);
      last = now;
      step(frames);
      frames += 1;
    }
    const moved = performance.now();
    const rate = (frames * 1000) / (moved - begun);
    await sharp();
    return { rate, longest, rest: performance.now() - moved };
  };
  await sharp();
  await pause(500);
  const square = document.createElement("div");
  square.style = "position: fixed; top: 0; left: 0; width: 200px; height: 200px; background: grey; will-change: transform";
  document.body.append(square);
  const bare = await counted((i) => { square.style.transform = `translate(${150 + 150 * Math.sin(i / 20)}px, 0)`; });
  square.remove();
  const layer = document.createElement("div");
  layer.style = "position: absolute; left: -25%; top: -25%; width: 150%; height: 150%; background: linear-gradient(30deg, navy, tan); will-change: transform";
  stage.append(layer);
  await pause(300);
  const plain = await counted((i) => { layer.style.transform = `translate(${150 * Math.sin(i / 20)}px, ${100 * Math.sin(i / 13)}px)`; });
  layer.remove();
  // Closer, so that there is something to move to.
  for (let i = 0; i < 6; i += 1) stage.dispatchEvent(new WheelEvent("wheel", { deltaY: -200, clientX: x, clientY: y, cancelable: true }));
  await sharp();
  await pause(500);
  pointer("pointerdown", [x, y]);
  const pan = await counted((i) => pointer("pointermove", [x + 150 * Math.sin(i / 20), y + 100 * Math.sin(i / 13)]));
  pointer("pointerup", [x, y]);
  await pause(500);
  const zoom = await counted((i) =>
    stage.dispatchEvent(new WheelEvent("wheel", { deltaY: i % 120 < 60 ? -40 : 40, clientX: x, clientY: y, cancelable: true })));
  return { bare, plain, pan, zoom };
}

try {
  const driver = await start("chromedriver", ["--port=0"], (line) => line.match(/successfully on port (\d+)/)?.[1]);
  const base = `http://127.0.0.1:${driver}/session`;
  console.log("| tiles | an empty square moved, pictures a second (longest gap) | a plain layer moved | the panel moved, pictures a second (longest gap) | sharp after | zoomed, pictures a second (longest gap) | sharp after |");
  console.log("| ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
  for (const [columns, courses] of SIZES) {
    writeFileSync(join(folder, "frames.rhai"), recipe(columns, courses));
    const watch = ["watch", join(folder, "frames.rhai"), "--page", "--max-tiles", "200000"];
    const page = await start(program, watch, (line) => line.match(/the page is at (\S+)/)?.[1]);
    const session = await ask(base, "POST", {
      capabilities: {
        alwaysMatch: {
          browserName: "chrome",
          "goog:chromeOptions": {
            args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--window-size=1280,900", `--user-data-dir=${join(folder, `b${columns}`)}`],
          },
          timeouts: { script: 120000 },
        },
      },
    });
    const at = `${base}/${session.sessionId}`;
    await ask(`${at}/url`, "POST", { url: page });
    const ready = "return Boolean(document.querySelector('#view-now')?.dataset.picture)";
    while (!(await ask(`${at}/execute/sync`, "POST", { script: ready, args: [] }))) await new Promise((done) => setTimeout(done, 100));
    const script = `const done = arguments[1]; (${measure})(arguments[0]).then(done, (e) => done({ error: "page", message: String(e) }));`;
    const { bare, plain, pan, zoom } = await ask(`${at}/execute/async`, "POST", { script, args: [marks] });
    const frames = ({ rate, longest }) => `${rate.toFixed(0)} (${longest.toFixed(0)} ms)`;
    const told = (moved) => `${frames(moved)} | ${moved.rest.toFixed(0)} ms`;
    console.log(`| ${columns * courses} | ${frames(bare)} | ${frames(plain)} | ${told(pan)} | ${told(zoom)} |`);
    await ask(at, "DELETE");
  }
} finally {
  endAll();
}
