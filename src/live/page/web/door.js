// The door of the page: everything that it asks goes through here, and all news come in by it.
//
// This is the door to a program that serves the page (`plyloom watch --page`). In `plyloom.html`, where
// there is no server, `web/page/door.js` stands in its place, with the core in a worker behind it. Both
// have the same, and answer alike:
//
// - `ask(path, { method, body, signal })` gives a `Response`: JSON, a picture, or, where something is
//   wrong, a status with `{ "message": ... }` as JSON. It rejects with the `AbortError` of `signal`, or
//   with any other error where nobody answers. `body` is text of JSON. Paths are those of
//   `src/live/page/server.rs`.
// - `hear(begun, news)` calls `begun` once the line stands, then `news` with each state as text of JSON,
//   the first one at once; it ends when the line does, and rejects as `ask` does, or with `{ status }`.
// - `standing` says of the line that it stands, in a word.
// - `refused()` says what to do where the answer is that this page may not ask.
// - `shelf` says where other recipes are kept: `title` in words, whether the page `removes` them, and whether it
//   `opensPatterns` that come along as they are.
// - `lanes` is how many cards of the wall are asked for at once.
// - `raising(bound)` says how a bound is raised that a run has reached, in words that end a sentence.
// - `onward(command, file)` tells what to do with a choice that was kept: `preview` it, or `plan` it.
// - `paper(at)` gives what a link to a paper of the plan needs, as attributes.

export const standing = "connected";
/** What is in a folder is removed there, and a pattern is opened as a file of its own. */
export const shelf = { title: "Recipes of this folder", removes: false, opensPatterns: false };

/** The program makes one card at a time; the next one is there when it is ready. */
export const lanes = 2;

const STORE = "plyloom-key";
const QUIET = 16000;

function readKey() {
  const typed = location.hash.slice(1);
  try {
    if (typed) sessionStorage.setItem(STORE, typed);
    return typed || sessionStorage.getItem(STORE) || "";
  } catch {
    return typed;
  }
}

let key = readKey();
window.addEventListener("hashchange", () => {
  key = readKey();
});

export function refused() {
  return key ? "plyloom was restarted: open the new address that it printed" : "open the whole address that plyloom printed, up to its end";
}

export function ask(path, options = {}) {
  const headers = { "x-plyloom-key": key };
  if (options.body !== undefined) headers["content-type"] = "application/json";
  return fetch(path, { ...options, headers, cache: "no-store" });
}

export async function hear(begun, news) {
  const stop = new AbortController();
  let alarm = setTimeout(() => stop.abort(), QUIET);
  try {
    const response = await ask("/api/events", { signal: stop.signal });
    if (!response.ok) throw response;
    begun();
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (;;) {
      const { value, done } = await reader.read();
      clearTimeout(alarm);
      if (done) return;
      alarm = setTimeout(() => stop.abort(), QUIET);
      text += value;
      const events = text.split("\n\n");
      text = events.pop();
      for (const event of events) {
        const data = event.split("\n").filter((l) => l.startsWith("data:"));
        if (data.length) news(data.map((l) => l.slice(5).trimStart()).join("\n"));
      }
    }
  } finally {
    clearTimeout(alarm);
    stop.abort();
  }
}

const OPTIONS = { operations: "--max-operations", time: "--max-seconds", memory: "--max-memory", tiles: "--max-tiles" };

export function raising(bound) {
  return bound ? `; if it is needed, start with a higher ${OPTIONS[bound.bound]}` : "";
}

export function onward(command, file) {
  const purpose = command === "plan" ? "Take it to the shop" : "See it";
  return `${purpose} with: plyloom ${command} ${file}`;
}

export function paper(at) {
  return { href: at, target: "_blank", rel: "noopener" };
}
