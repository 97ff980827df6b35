// What the browser keeps for the page: in this tab for as long as it is open, where one is on the page and how one
// looks, which a reload leaves as it was. Nothing of the recipe is in it.

const STORE = "plyloom-place";

/** What a storage of the browser, by its name in the window, holds under a name: things by names of their own. */
export function stored(storage, name) {
  try {
    return JSON.parse(window[storage].getItem(name)) ?? {};
  } catch {
    return {};
  }
}

/** Keeps it there; false where the browser keeps nothing. */
export function store(storage, name, all) {
  try {
    window[storage].setItem(name, JSON.stringify(all));
    return true;
  } catch {
    return false;
  }
}

/** What was kept under a name; undefined where nothing was. */
export function remembered(name) {
  return stored("sessionStorage", STORE)[name];
}

export function remember(name, value) {
  store("sessionStorage", STORE, { ...stored("sessionStorage", STORE), [name]: value });
}
