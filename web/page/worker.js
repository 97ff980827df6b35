// A worker with the core in it: one question at a time, each with its number.

let core = null;
/** Questions wait until the core is there: a browser may hand them over before. */
let begun = null;

/** What ended the core, in a word of the session's `Ended`. */
function ended(error) {
  if (core?.waited()) return "held";
  if (core?.panicked()) return "broken";
  const words = `${error?.name} ${error?.message}`;
  if (/call stack|recursion|out of bounds|stack overflow/i.test(words)) return "stack";
  return "memory";
}

/** Holds a lock for as long as this worker lives: a browser that ends it in the midst of a run tells nobody. */
function held(lock) {
  return new Promise((done) => {
    const hold = () => {
      self.postMessage({ held: lock });
      done();
      return new Promise(() => {});
    };
    // Without locks the page waits as long as a run may take.
    if (navigator.locks) navigator.locks.request(lock, hold).catch(done);
    else done();
  });
}

self.onmessage = async ({ data }) => {
  if (data.module) {
    const imports = { page: { now: () => performance.now() } };
    const made = WebAssembly.instantiate(data.module, imports);
    begun = held(data.lock).then(() => made);
    return;
  }
  const { number, text } = data;
  try {
    core ??= (await begun).exports;
    const bytes = new TextEncoder().encode(text);
    const at = core.room(bytes.length);
    new Uint8Array(core.memory.buffer, at, bytes.length).set(bytes);
    const from = core.ask();
    const answer = new Uint8Array(core.memory.buffer, from, core.length()).slice();
    self.postMessage({ number, answer }, [answer.buffer]);
  } catch (error) {
    self.postMessage({ number, ended: ended(error) });
  }
};
