// The desk of `plyloom.html`: which recipe is open, what is kept of it and where, what comes in by files and
// links, and what goes out.

import { button, byId, make, note } from "../../src/live/page/web/make.js";
import { remembered } from "../../src/live/page/web/memory.js";
import { Core } from "./core.js";
import * as kept from "./kept.js";
import { Sitting } from "./sitting.js";
import { demos, firstRecipe, newShop } from "./texts.js";

/** The name under which the shop file lies beside a recipe. */
const SHOP = "shop.toml";
/** What is opened when nothing was before. */
const FIRST = "tumbling-blocks";
/** The largest file that is opened, in bytes; of a PNG, only what stands before its pixels. */
const MOST = 16 * 1024 * 1024;
/** From here on the storage is told to be nearly full. */
const NEARLY_FULL = 0.9;
const LAST = "plyloom-last";

export class Desk {
  constructor(told) {
    this.sitting = new Sitting({ told, kept: (texts) => this.keep(texts) });
    this.shop = null;
    /** The recipe that is open: its name in the storage, and the edition that is known. */
    // The recipe that is open: its name in the storage, and the edition there that it goes on from.
    this.own = { name: null, edition: 0 };
    this.keeping = Promise.resolve();
    this.channel = typeof BroadcastChannel === "function" ? new BroadcastChannel("plyloom") : null;
    this.channel?.addEventListener("message", ({ data }) => this.follow(data));
    this.furnish();
    this.begun = this.begin();
    // Only the served form has one.
    if (document.querySelector("link[rel=manifest]")) navigator.serviceWorker?.register("sw.js").catch(() => {});
    this.begun.catch((error) => this.note(error.message, "wrong"));
    window.addEventListener("hashchange", () => this.fromHash());
    window.addEventListener("dragover", (event) => event.preventDefault());
    window.addEventListener("drop", (event) => {
      event.preventDefault();
      this.bringFiles([...event.dataTransfer.files]);
    });
  }

  note(words, kind) {
    note(words, kind);
  }

  async begin() {
    try {
      this.shop = (await kept.shop()) ?? null;
    } catch (error) {
      this.refused = true;
      this.note(`The browser keeps nothing for this page (${error.message}): save what you make to a file.`, "wrong");
    }
    if (await this.fromHash()) return;
    const last = await this.last();
    if (last) await this.show(last);
    else await this.start(FIRST);
  }

  async last() {
    try {
      return this.refused ? null : await kept.recipe(localStorage.getItem(LAST) ?? "");
    } catch {
      return null;
    }
  }

  /** The link in the address, where there is one. */
  async fromHash() {
    if (!/^#p\d+\./.test(location.hash)) return false;
    const link = location.href;
    // What is kept from here on is in the storage; a reload does not bring the link again.
    history.replaceState(null, "", location.pathname + location.search);
    try {
      await this.bring("link", new TextEncoder().encode(link));
      return true;
    } catch (error) {
      this.note(error.message, "wrong");
      return Boolean(this.own.name);
    }
  }

  /** Begins with one of the recipes that come along; it is kept once it is changed. */
  async start(name) {
    const there = await this.there(name);
    if (there) return this.show(there);
    this.own = { name, edition: 0 };
    return this.open([[`${name}.rhai`, demos[name]]], `${name}.rhai`);
  }

  async there(name) {
    return this.refused ? undefined : kept.recipe(name);
  }

  /** Shows a recipe that was kept. */
  show(saved) {
    this.own = { name: saved.name, edition: saved.edition };
    return this.open(saved.texts, saved.recipe);
  }

  open(texts, recipe) {
    const all = this.shop ? [...texts, [SHOP, this.shop]] : texts;
    this.noteLast();
    this.sitting.open(all, recipe);
  }

  /** With which recipe the page begins. */
  noteLast() {
    try {
      localStorage.setItem(LAST, this.own.name);
    } catch {
      // Without it the page begins with the first recipe.
    }
  }

  shopName() {
    return this.shop ? SHOP : null;
  }

  /** The recipe's name without its ending. */
  recipeName() {
    return this.sitting.recipe.replace(/\.[^.]*$/, "");
  }

  /** Keeps all texts of the recipe that is open, after what is being kept: each goes on from the edition before. */
  keep(texts) {
    const { own, sitting: { recipe } } = this;
    const beside = [...texts].filter(([path]) => path !== SHOP);
    this.keeping = this.keeping.then(() => this.put(own, { recipe, texts: beside }));
    return this.keeping;
  }

  async put(own, texts) {
    try {
      let edition = await kept.keep({ ...texts, ...own });
      if (edition === null) {
        const theirs = own.name;
        own.name = await this.free(theirs);
        edition = await kept.keep({ ...texts, name: own.name, edition: 0 });
        if (own === this.own) this.noteLast();
        this.note(`Another tab has changed ${theirs} meanwhile. What you did here is kept as ${own.name}.`, "wrong");
      }
      own.edition = edition;
      this.channel?.postMessage(own);
      if ((await kept.fullness()) > NEARLY_FULL) this.note("The browser's storage is nearly full: save recipes to files, and remove some.", "wrong");
    } catch (error) {
      this.unkept(error);
    }
  }

  unkept(error) {
    this.note(`This is not kept in the browser (${error.message || error.name}): save it to a file.`, "wrong");
  }

  /** A name that is not taken yet. */
  async free(name) {
    for (let number = 2; ; number += 1) {
      const other = `${name}-${number}`;
      if (!(await this.there(other)) && !(other in demos)) return other;
    }
  }

  /** Another tab has changed a recipe. */
  async follow({ name, edition }) {
    const { own } = this;
    if (name !== own.name || edition <= own.edition) return;
    const saved = await kept.recipe(name);
    if (own !== this.own) return;
    own.edition = saved.edition;
    await this.sitting.put(saved.texts);
  }

  async bringFiles(files) {
    for (const file of files) {
      try {
        const png = file.name.toLowerCase().endsWith(".png");
        if (file.size > MOST && !png) throw new Error("it is too large to be a recipe or a drawing of one");
        const bytes = new Uint8Array(await file.slice(0, MOST).arrayBuffer());
        await this.bring(file.name, bytes);
      } catch (error) {
        this.note(`${file.name}: ${error.message}`, "wrong");
      }
    }
  }

  /** Opens what came in: a recipe, a pack, a drawing or a picture, a link, a choice, a shop file. */
  async bring(name, bytes) {
    const text = new TextDecoder().decode(bytes);
    if (/\.toml$/i.test(name)) return this.setShop(text);
    const own = name.replace(/[^\p{L}\p{N}._-]/gu, "-");
    if (/\.pick$/i.test(name)) {
      await this.sitting.put([[own, text]]);
      await this.keep(this.sitting.texts);
      return this.open([...this.sitting.texts].filter(([path]) => path !== SHOP), own);
    }
    if (/\.rhai$/i.test(name) && !text.includes("// ==== plyloom pack ")) {
      return this.take([[own, text]], own);
    }
    const answer = await unpacked(bytes);
    const told = await answer.json();
    if (!answer.ok) throw new Error(told.message);
    if (told.changed) this.note("Its texts were changed since it was packed: look at them before you trust them.", "wrong");
    const choice = told.texts.find(([path]) => path.endsWith(".pick"));
    return this.take(told.texts, (choice ?? told.texts[0])[0]);
  }

  /** What the room of recipes asks for. */
  async onShelf(what, sent) {
    const one = { card: () => this.short(sent), open: () => this.openFrom(sent), remix: () => this.remix(sent), remove: () => this.remove(sent) };
    try {
      return what ? await one[what]() : Response.json(await this.shelf());
    } catch (error) {
      return Response.json({ message: error.message }, { status: 409 });
    }
  }

  async shelf() {
    const yours = this.refused ? [] : await kept.recipes();
    return { here: this.own.name, recipes: yours.map(({ name }) => name), patterns: Object.keys(demos) };
  }

  /** A recipe that is kept, or a pattern that comes along. */
  async found({ name, pattern }) {
    const recipe = `${name}.rhai`;
    const saved = pattern ? { name, recipe, texts: [[recipe, demos[name]]] } : await this.there(name);
    if (!saved) throw new Error("there is no such recipe any more");
    return saved;
  }

  async short(wanted) {
    const { texts, recipe } = await this.found(wanted);
    return this.sitting.short(texts, recipe);
  }

  async openFrom(wanted) {
    const saved = await this.found(wanted);
    if (wanted.pattern) await this.start(wanted.name);
    else this.show(saved);
    return Response.json({ file: this.sitting.recipe });
  }

  /** Goes on from a recipe under another name. */
  async remix({ from, name }) {
    if (!/^[\p{L}\p{N}][\p{L}\p{N}_-]{0,59}$/u.test(name)) throw new Error("a recipe's name is made of letters, digits, `-` and `_`, 60 at most, and begins with a letter or digit");
    if (demos[name] || (await this.there(name))) throw new Error(`there is a recipe \`${name}\` already: choose another name`);
    const { texts, recipe } = await this.found(from);
    const own = recipe.replace(/^.*\./, `${name}.`);
    const taken = texts.filter(([path]) => /\.(rhai|pick)$/.test(path)).map(([path, text]) => [path === recipe ? own : path, text]);
    this.own = { name, edition: 0 };
    this.open(taken, own);
    await this.keep(new Map(taken));
    return Response.json({ file: own });
  }

  async remove({ name }) {
    await kept.drop(name);
    return Response.json({});
  }

  /** Keeps texts that came in under a free name, and opens them. */
  async take(texts, recipe) {
    const name = recipe.replace(/\.[^.]*$/, "");
    const there = await this.there(name);
    const same = there && JSON.stringify(there.texts) === JSON.stringify(texts);
    const demo = demos[name] !== undefined && demos[name] !== texts[0][1];
    const free = (there && !same) || demo ? await this.free(name) : name;
    this.own = { name: free, edition: same ? there.edition : 0 };
    this.open(texts, recipe);
    if (!same) await this.keep(new Map(texts));
    this.note(`${this.own.name} is open.`);
  }

  async setShop(text) {
    this.shop = text || null;
    // Where it is taken away, what is shown is planned anew all the same.
    await this.sitting.put([[SHOP, text]]);
    this.note(text ? "Plans are made with your shop file now." : "Plans are made with common values now.");
    try {
      await kept.keepShop(text);
    } catch (error) {
      this.unkept(error);
    }
  }

  /** Gives a file out: where the browser lets one choose its place, there; else among the downloads. */
  async save(name, blob) {
    if (window.showSaveFilePicker && navigator.userActivation?.isActive) {
      try {
        const file = await window.showSaveFilePicker({ suggestedName: name });
        const out = await file.createWritable();
        await out.write(blob);
        await out.close();
        return;
      } catch (error) {
        if (error.name === "AbortError") return;
      }
    }
    const url = URL.createObjectURL(blob);
    const link = make("a", { href: url, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 60_000);
  }

  /** What is asked of the picture that is shown. */
  async asked(question) {
    const { shown } = this.sitting.state ?? {};
    if (shown === null || shown === undefined) throw new Error("there is no picture yet");
    const answer = await this.sitting.ask({ ...question, picture: shown });
    if (!answer.ok) throw new Error((await answer.json()).message);
    return answer;
  }

  async copyLink() {
    const { light, finish, view } = remembered("look") ?? {};
    const { link, longest } = await (await this.asked({ ask: "link", look: { light, finish, view } })).json();
    const address = `${location.href.split("#")[0]}${link}`;
    if (address.length > longest) {
      this.note(`The link would have ${address.length} characters; many programs cut off what is longer than ${longest}. Save a pack instead, and send that file.`, "wrong");
      return;
    }
    this.link.value = address;
    this.link.hidden = false;
    this.link.select();
    try {
      await navigator.clipboard.writeText(address);
      this.note("The link is copied. Whoever opens it has this panel; nothing is sent anywhere.");
    } catch {
      this.note("Copy the link that is marked: the browser does not let this page do it.");
    }
  }

  furnish() {
    this.link = make("input", { type: "text", readonly: true, hidden: true, id: "desk-link", "aria-label": "Link to this panel" });
    this.files = make("input", { type: "file", multiple: true, hidden: true, id: "desk-files", accept: ".rhai,.pick,.toml,.svg,.png,.txt" });
    this.files.addEventListener("change", async () => {
      await this.bringFiles([...this.files.files]);
      this.files.value = "";
      this.dialog.close();
    });
    this.lists = make("div", {});
    this.dialog = make("dialog", { id: "desk", "aria-labelledby": "desk-title" });
    this.dialog.append(
      make("div", { class: "bar" },
        make("h2", { id: "desk-title" }, "Files"),
        button("Close", () => this.dialog.close(), { id: "desk-close" })),
      make("div", { class: "bar" },
        button("Open a file", () => this.files.click(), { id: "desk-open-file" }),
        button("New recipe", () => this.from(() => this.take([["new.rhai", firstRecipe]], "new.rhai")), { id: "desk-new" }),
        button("Save the recipe", () => this.does(() => this.saveRecipe()), { id: "desk-save" }),
        button("Save a pack", () => this.does(() => this.savePack()), { id: "desk-pack" }),
        button("Save the drawing", () => this.does(() => this.saveDrawing()), { id: "desk-drawing" })),
      make("p", { class: "quiet" }, "A pack holds the recipe, its modules and what is set. Files can also be dropped onto the page: recipes, packs, choices, drawings and pictures made with Plyloom, a shop file."),
      this.lists,
    );
    const home = document.querySelector("header nav");
    const tools = make("div", { class: "desk-tools" },
      button("Files", () => this.showFiles(), { id: "desk-switch" }),
      button("Copy link", () => this.does(() => this.copyLink()), { id: "desk-copy" }),
      this.link);
    home.after(tools);
    document.body.append(this.dialog, this.files);
  }

  does(work) {
    return Promise.resolve().then(work).catch((error) => this.note(error.message, "wrong"));
  }

  /** Does what is to be seen outside of the dialog. */
  from(work) {
    this.dialog.close();
    return this.does(work);
  }

  async saveRecipe() {
    const name = this.plainName();
    return this.save(name, new Blob([this.sitting.texts.get(name) ?? ""], { type: "text/plain" }));
  }

  /** The file that holds the recipe's text; a choice names it. */
  plainName() {
    const { recipe, texts } = this.sitting;
    if (!recipe.endsWith(".pick")) return recipe;
    return /^recipe = "(.*)"$/m.exec(texts.get(recipe))?.[1] ?? recipe;
  }

  async savePack() {
    const [[name, text]] = await (await this.asked({ ask: "pack" })).json();
    return this.save(name, new Blob([text], { type: "text/plain" }));
  }

  async saveDrawing() {
    const answer = await this.asked({ ask: "drawing", panel: 0 });
    return this.save(`${this.recipeName()}.svg`, await answer.blob());
  }

  showFiles() {
    this.list();
    this.dialog.showModal();
  }

  list() {
    const beside = [...this.sitting.texts.keys()].filter((path) => path !== SHOP);
    this.lists.replaceChildren(
      part(`Files of ${this.own.name}`, beside.map((path) => make("li", {},
        /\.(rhai|pick)$/.test(path) ? button(path, () => this.from(() => this.open([...this.sitting.texts].filter(([p]) => p !== SHOP), path)), { class: "plain" }) : path,
        button("Save", () => this.does(() => this.save(path, new Blob([this.sitting.texts.get(path)]))), { class: "plain", "aria-label": `Save ${path}` })))),
      this.shopPart(),
    );
  }

  shopPart() {
    const area = make("textarea", { id: "desk-shop", rows: 12, spellcheck: "false", "aria-label": "Shop file" });
    area.value = this.shop ?? "";
    return make("section", {},
      make("h3", {}, "Shop file"),
      make("p", { class: "quiet" }, "What your shop has: saws, allowances, sheets, scraps, prices. Without one, plans are made with common values."),
      area,
      make("div", { class: "bar" },
        button("Begin with all keys", () => { area.value ||= newShop; }, { id: "desk-shop-new" }),
        button("Use it", () => this.from(() => this.setShop(area.value)), { id: "desk-shop-use" }),
        button("Save it", () => this.does(() => this.save(SHOP, new Blob([area.value]))), { id: "desk-shop-save" })));
  }

}

function part(title, items) {
  return items.length ? make("section", {}, make("h3", {}, title), make("ul", { class: "desk-list" }, items)) : make("section", { hidden: true });
}

/** What a stranger's file or link holds, read by a core of its own. */
async function unpacked(bytes) {
  const core = new Core();
  try {
    core.ask({ open: { texts: [], recipe: "", serial: 0, turn: {}, run: false } }).catch(() => {});
    return await core.ask({ ask: "unpack", base64: base64(bytes) });
  } finally {
    core.end("recalled");
  }
}

/** Bytes in base64. */
function base64(bytes) {
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}
