// What a reload leaves as it was: where one is on the page and how one looks, in this tab for as long as
// it is open. Nothing of the recipe is in it.

const STORE = "plyloom-place";

function all() {
  try {
    return JSON.parse(sessionStorage.getItem(STORE)) ?? {};
  } catch {
    return {};
  }
}

/** What was kept under a name; undefined where nothing was. */
export function remembered(name) {
  return all()[name];
}

export function remember(name, value) {
  try {
    sessionStorage.setItem(STORE, JSON.stringify({ ...all(), [name]: value }));
  } catch {
    // A browser that keeps nothing begins anew each time.
  }
}
