// What was done, in the browser's own storage: recipes with their choices and stars, and the shop file.
//
// A recipe is kept under a name with all its texts and a number that grows with each change. Whoever
// changes it says which number it knows: where another tab was quicker, nothing is written over.

const BASE = "plyloom";
const RECIPES = "recipes";
const SHOP = "shop";

let base = null;

function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function opened() {
  base ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(BASE, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore(RECIPES, { keyPath: "name" });
      request.result.createObjectStore(SHOP);
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("another tab holds the storage"));
  });
  return base;
}

async function within(store, mode, work) {
  const deal = (await opened()).transaction(store, mode);
  const over = new Promise((resolve, reject) => {
    deal.oncomplete = resolve;
    deal.onabort = () => reject(deal.error ?? new Error("the storage refused it"));
    deal.onerror = () => reject(deal.error);
  });
  const result = await work(deal.objectStore(store));
  await over;
  return result;
}

/** All recipes: name and when each was changed, the newest first. */
export async function recipes() {
  const all = await within(RECIPES, "readonly", (store) => done(store.getAll()));
  return all.sort((a, b) => b.changed - a.changed);
}

export function recipe(name) {
  return within(RECIPES, "readonly", (store) => done(store.get(name)));
}

/** Keeps a recipe: `{ name, recipe, texts, edition }`. Gives its new edition; null where it is another's by now. */
export function keep(kept) {
  return within(RECIPES, "readwrite", async (store) => {
    const there = await done(store.get(kept.name));
    if ((there?.edition ?? 0) !== kept.edition) return null;
    const edition = kept.edition + 1;
    await done(store.put({ ...kept, edition, changed: Date.now() }));
    return edition;
  });
}

export function drop(name) {
  return within(RECIPES, "readwrite", (store) => done(store.delete(name)));
}

export function shop() {
  return within(SHOP, "readonly", (store) => done(store.get(SHOP)));
}

export function keepShop(text) {
  return within(SHOP, "readwrite", (store) => done(text ? store.put(text, SHOP) : store.delete(SHOP)));
}

/** How full the storage is, from 0 to 1; 0 where the browser does not tell. */
export async function fullness() {
  const { usage, quota } = (await navigator.storage?.estimate?.()) ?? {};
  return quota ? usage / quota : 0;
}
