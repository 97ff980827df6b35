// Workers with the core: started from the module that `begin.js` unpacks, asked, and ended.

import { source } from "./worker.js";

/** The core of this worker is no more: it was ended, by itself or from outside. */
export class Gone extends Error {
  constructor(how) {
    super(`the core was ended: ${how}`);
    this.how = how;
  }
}

let workerUrl = null;

export class Core {
  constructor() {
    this.waiting = new Map();
    this.count = 0;
    workerUrl ??= URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
    this.worker = new Worker(workerUrl);
    this.worker.onmessage = ({ data }) => this.take(data);
    this.worker.onerror = () => this.end("broken");
    const lock = `plyloom ${Date.now()} ${Math.random()}`;
    this.ready = self.plyloomCore.then((made) => this.worker.postMessage({ module: made, lock }));
    this.ready.catch(() => this.end("broken"));
  }

  /** Asks; gives a Response. Rejects with `Gone` where the core is ended first. */
  ask(question) {
    if (this.gone) return Promise.reject(new Gone(this.gone));
    this.count += 1;
    const number = this.count;
    const answered = new Promise((done, failed) => this.waiting.set(number, { done, failed }));
    this.ready.then(() => this.worker.postMessage({ number, text: JSON.stringify(question) }), () => {});
    return answered;
  }

  take({ number, answer, ended, held }) {
    if (held) {
      this.mourn(held);
      return;
    }
    if (ended) {
      this.end(ended);
      return;
    }
    const asked = this.waiting.get(number);
    this.waiting.delete(number);
    asked?.done(response(answer));
  }

  /** Hears of the worker's end, however that comes: the lock that it holds is free then. */
  mourn(lock) {
    this.stop = new AbortController();
    navigator.locks.request(lock, { signal: this.stop.signal }, () => this.end("lost")).catch(() => {});
  }

  /** Ends the worker, whatever it does. */
  end(how) {
    if (this.gone) return;
    this.gone = how;
    this.stop?.abort();
    this.worker.terminate();
    for (const { failed } of this.waiting.values()) failed(new Gone(how));
    this.waiting.clear();
  }
}

/** An answer of the core: a status and a media type on the first line, then the body. */
function response(answer) {
  const end = answer.indexOf(10);
  const [status, ...kind] = new TextDecoder().decode(answer.subarray(0, end)).split(" ");
  return new Response(answer.subarray(end + 1), { status: Number(status), headers: { "content-type": kind.join(" ") } });
}
