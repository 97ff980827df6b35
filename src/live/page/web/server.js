// Talking to plyloom, which served this page: questions with the key, and the stream of its news.

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

export class Problem extends Error {
  constructor(message, status) {
    super(message);
    this.status = status;
  }
}

async function answer(path, options = {}) {
  const headers = { "x-plyloom-key": key };
  if (options.body !== undefined) headers["content-type"] = "application/json";
  let response;
  try {
    response = await fetch(path, { ...options, headers, cache: "no-store" });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Problem("plyloom does not answer: is it still running?", 0);
  }
  if (response.ok) return response;
  let message = `plyloom refused this (${response.status})`;
  try {
    message = (await response.json()).message ?? message;
  } catch {
    // The status has to do.
  }
  throw new Problem(message, response.status);
}

export async function read(path, signal) {
  return (await answer(path, { signal })).json();
}

export async function send(path, body, signal) {
  return (await answer(path, { method: "POST", body: JSON.stringify(body), signal })).json();
}

/** The address of a picture, inside this page. Give it back with URL.revokeObjectURL. */
export async function picture(path, signal) {
  return URL.createObjectURL(await (await answer(path, { signal })).blob());
}

/** Listens for ever: `news` gets each state, `line` how the connection is. */
export async function listen(news, line) {
  let wait = 300;
  for (;;) {
    try {
      await hear(news, () => {
        wait = 300;
        line("connected");
      });
      line("lost");
    } catch (error) {
      line(error.status === 403 ? "refused" : "lost");
    }
    await new Promise((done) => setTimeout(done, wait));
    wait = Math.min(wait * 2, 4000);
  }
}

async function hear(news, begun) {
  const stop = new AbortController();
  let alarm = setTimeout(() => stop.abort(), QUIET);
  const response = await answer("/api/events", { signal: stop.signal });
  begun();
  const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
  let text = "";
  try {
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
        if (data.length) news(JSON.parse(data.map((l) => l.slice(5).trimStart()).join("\n")));
      }
    }
  } finally {
    clearTimeout(alarm);
    stop.abort();
  }
}
