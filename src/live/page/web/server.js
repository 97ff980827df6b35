// Talking to plyloom through the page's door: questions, and the stream of its news.

import { ask, hear } from "./door.js";

export class Problem extends Error {
  constructor(message, status) {
    super(message);
    this.status = status;
  }
}

async function answer(path, options) {
  let response;
  try {
    response = await ask(path, options);
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

/** A picture, ready to be painted. */
export async function decoded(path, signal) {
  const url = URL.createObjectURL(await (await answer(path, { signal })).blob());
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    return image;
  } finally {
    URL.revokeObjectURL(url);
  }
}

const known = new Map();
const MOST_KNOWN = 12;

/** What is made of an answer that stays the same; asked for once. */
export function readOnce(path, made) {
  if (!known.has(path)) {
    const asked = read(path).then(made);
    asked.catch(() => known.delete(path));
    known.set(path, asked);
    while (known.size > MOST_KNOWN) known.delete(known.keys().next().value);
  }
  return known.get(path);
}

/** Listens for ever: `news` gets each state, `line` how the connection is. */
export async function listen(news, line) {
  let wait = 300;
  for (;;) {
    try {
      const begun = () => {
        wait = 300;
        line("connected");
      };
      await hear(begun, (text) => news(JSON.parse(text)));
      line("lost");
    } catch (error) {
      line(error.status === 403 ? "refused" : "lost");
    }
    await new Promise((done) => setTimeout(done, wait));
    wait = Math.min(wait * 2, 4000);
  }
}
