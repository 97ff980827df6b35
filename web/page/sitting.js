// One maker at one recipe: its texts, its runs, and the cards of the wall, carried out by workers.
//
// A run that lasts is ended with its worker when something newer is wanted, as the program recalls one; so
// is one that passes its bounds without a word. A new worker goes on; where it has no picture to show, it
// first carries out the last texts that gave one, so that the last picture stays.

import { Core, Gone } from "./core.js";

/** A run that has lasted less than so many milliseconds is not recalled. */
const SHORT = 400;
/** The time that a recipe has, and how long after it a run that heeds nothing is ended; milliseconds. */
const BOUND = 60_000;
const GRACE = 2_000;

/** How many cards are made side by side. */
export const lanes = Math.max(1, Math.min(navigator.hardwareConcurrency || 2, 8));

export class Sitting {
  /** `kept` hears of all texts after each change; `told` gets each state as text. */
  constructor(hooks) {
    this.hooks = hooks;
    this.serial = 0;
    this.turns = [];
    this.wanted = 0;
    this.carried = 0;
    /** The run at work: its core, and when it began. */
    this.running = null;
    this.workers = [];
  }

  /** Opens a recipe with its texts: a map of paths. */
  open(texts, recipe, turn = {}) {
    this.letCardsGo();
    this.texts = new Map(texts);
    this.recipe = recipe;
    this.good = null;
    this.state = null;
    this.turns = [];
    this.knobs = turn;
    this.start(false);
    this.run();
  }

  /** A new worker, with the last good texts where there are some; else with those of now. */
  start(withGood) {
    this.core?.end("recalled");
    this.core = new Core();
    const good = withGood && this.good;
    const open = {
      texts: [...(good ? good.texts : this.texts)],
      recipe: this.recipe,
      serial: this.serial + 1,
      turn: good ? good.knobs : this.knobs,
      run: Boolean(good),
    };
    this.serial += 1;
    this.core.ask({ open }).catch(() => {});
    if (good) {
      // What goes on from here are the texts and the knobs of now.
      this.core.ask({ ask: "put", texts: [...this.texts] }).catch(() => {});
      this.core.ask({ ask: "turn", turn: { fresh: true, ...unlocked, ...this.knobs } }).catch(() => {});
    }
    for (const { turn } of this.turns) this.core.ask({ ask: "turn", turn }).catch(() => {});
  }

  /** Asks the worker; once more where it was ended for another's sake. */
  async ask(question) {
    // A worker that a browser has ended while nothing was asked.
    if (this.core.gone && !this.running) {
      this.start(true);
      this.run();
    }
    try {
      return await bounded(this.core, question);
    } catch (error) {
      if (!(error instanceof Gone)) throw error;
      await this.settled;
      if (this.core.gone) {
        this.start(true);
        this.run();
      }
      if (error.how === "recalled") return this.ask(question);
      return Response.json({ message: ENDED[error.how] }, { status: 409 });
    }
  }

  /** Ends the run at work, where it has lasted and something newer is wanted. */
  newer() {
    this.wanted += 1;
    clearTimeout(this.bell);
    const { running } = this;
    if (!running) return;
    // A run that ended by itself meanwhile may be followed by that of what is newer, which goes on.
    const recall = () => this.running === running && running.core.end("recalled");
    this.bell = setTimeout(recall, Math.max(0, SHORT - (performance.now() - running.began)));
  }

  /** Asks for a run of what there is now; a run at work is recalled. */
  run() {
    this.newer();
    this.settled = (this.settled ?? Promise.resolve()).then(() => this.carryOut()).catch(() => {});
    return this.settled;
  }

  async carryOut() {
    if (this.carried === this.wanted) return;
    const { core, wanted: number } = this;
    this.running = { core, began: performance.now() };
    this.tell({ ...this.state, busy: true });
    let state;
    try {
      state = await (await bounded(core, { ask: "run" })).json();
    } catch (error) {
      // Another recipe may have been opened meanwhile, with a core of its own.
      if (this.core === core) await this.goOn(error.how, number);
      return;
    } finally {
      this.running = null;
    }
    if (this.core !== core) return;
    if (state.fault && state.shown === null && this.good) {
      this.start(true);
      await this.carryOut();
      return;
    }
    this.carried = number;
    this.letCardsGo();
    if (!state.fault) this.good = { texts: new Map(this.texts), knobs: turnOf(state.knobs) };
    this.tell(state);
  }

  /** Goes on after a run that was ended from outside. */
  async goOn(how, number) {
    this.start(how !== "recalled");
    if (how === "recalled") return;
    const { core } = this;
    this.carried = number;
    let ended;
    try {
      ended = await core.ask({ ask: "ended", how });
    } catch {
      // What gave a picture before gives none now: without it, then.
      if (this.core !== core) return;
      this.good = null;
      this.start(false);
      ended = await this.core.ask({ ask: "ended", how });
    }
    this.tell(await ended.json());
  }

  /** Takes a state, and tells of it. */
  tell(state) {
    this.state = state;
    if (state.serial) this.serial = Math.max(this.serial, state.serial);
    if (state.knobs && !state.busy) {
      this.knobs = turnOf(state.knobs);
      this.turns = this.turns.filter((t) => t.number > state.answered);
    }
    if (state.recipe !== undefined) this.hooks.told(JSON.stringify(state));
  }

  /** Tells of the state as it is now, with no run. */
  async tellNow() {
    const state = await (await this.ask({ ask: "state" })).json();
    this.tell({ ...state, busy: Boolean(this.running) });
  }

  /** Turns knobs. */
  async turn(turn) {
    this.newer();
    if (this.running) await this.settled;
    const answer = await this.ask({ ask: "turn", turn });
    if (answer.ok) {
      const { turn: number } = await answer.clone().json();
      this.serial = Math.max(this.serial, number);
      this.turns.push({ number, turn });
    }
    this.run();
    return answer;
  }

  /** Asks what may change the texts. */
  async change(question, { runs, quietly = false }) {
    if (runs) {
      this.newer();
      if (this.running) await this.settled;
    }
    const answer = await this.ask(question);
    if (!answer.ok) {
      if (runs) this.run();
      return answer;
    }
    const files = await (await this.ask({ ask: "files" })).json();
    const before = JSON.stringify([...this.texts]);
    this.texts = new Map(files);
    if (JSON.stringify([...this.texts]) !== before) await this.hooks.kept(this.texts);
    if (runs) this.run();
    else if (!quietly) {
      this.letCardsGo();
      await this.tellNow();
    }
    return answer;
  }

  /** Puts texts beside the recipe, or in its place. */
  async put(texts) {
    for (const [path, text] of texts) this.texts.set(path, text);
    await this.ask({ ask: "put", texts });
    this.run();
  }

  /** A card, made by a worker of its own. One that nobody waits for any more is ended. */
  async card(card, signal) {
    if (this.running) await this.settled;
    // What a star was kept with is read by the recipe that is shown.
    if (card.star) return this.ask({ ask: "card", card });
    const worker = this.hired();
    const stop = () => worker.core.end("recalled");
    signal?.addEventListener("abort", stop);
    worker.busy += 1;
    try {
      return await bounded(worker.core, { ask: "card", card });
    } catch (error) {
      signal?.throwIfAborted();
      if (error.how === "recalled") return this.card(card, signal);
      return Response.json({ fault: { message: ENDED[error.how] ?? ENDED.broken } });
    } finally {
      signal?.removeEventListener("abort", stop);
      worker.busy -= 1;
    }
  }

  /** A recipe that is not open, in short: carried out by a worker of its own. */
  async short(texts, recipe) {
    const core = new Core();
    try {
      core.ask({ open: { texts, recipe, serial: 0, turn: {}, run: true } }).catch(() => {});
      return await bounded(core, { ask: "short" });
    } catch (error) {
      return Response.json({ fault: { message: ENDED[error.how] ?? ENDED.broken } });
    } finally {
      core.end("recalled");
    }
  }

  /** The worker for the next card: an idle one, or a new one while there are fewer than cores. */
  hired() {
    this.workers = this.workers.filter((worker) => !worker.core.gone);
    const idle = this.workers.find((worker) => worker.busy === 0);
    if (idle) return idle;
    if (this.workers.length < lanes) {
      const core = new Core();
      // Where the text is at fault, cards are of the one that gave the picture.
      const good = this.state?.fault && this.good ? [...this.good.texts].filter(([path]) => /\.(rhai|pick)$/.test(path)) : [];
      const texts = [...new Map([...this.texts, ...good])];
      const open = { texts, recipe: this.recipe, serial: 0, turn: this.knobs, run: false };
      core.ask({ open }).catch(() => {});
      const worker = { core, busy: 0 };
      this.workers.push(worker);
      return worker;
    }
    return this.workers.reduce((least, worker) => (worker.busy < least.busy ? worker : least));
  }

  /** Cards of other texts or knobs are not wanted any more. */
  letCardsGo() {
    for (const { core } of this.workers) core.end("recalled");
    this.workers = [];
  }
}

/** Asks a core, and ends it where it has not answered within the bound. */
async function bounded(core, question) {
  const alarm = setTimeout(() => core.end("time"), BOUND + GRACE);
  try {
    return await core.ask(question);
  } finally {
    clearTimeout(alarm);
  }
}

const unlocked = { own_seed: true };

const ENDED = {
  time: "the recipe took too long",
  memory: "the recipe took all the memory that there is for it",
  stack: "the recipe is nested too deeply for this browser",
  held: "a value is used here while it is being changed",
  broken: "the program broke down over this recipe",
  lost: "the browser ended the work on this recipe",
};

/** The turn that sets these knobs. */
function turnOf({ set, seed, locked }) {
  return { set, ...(seed === null ? {} : { seed }), lock: locked };
}
