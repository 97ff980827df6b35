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

/** The address of a picture, inside this page. Give it back with URL.revokeObjectURL. */
export async function picture(path, signal) {
  return URL.createObjectURL(await (await answer(path, { signal })).blob());
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
