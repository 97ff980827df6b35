// Elements from names, attributes and children. Text becomes text, never markup.

const SVG = "http://www.w3.org/2000/svg";

/** An element: `on...` attributes are listeners, `true` sets an empty attribute. */
export function make(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/** The same inside a drawing. */
export function shape(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on") && typeof value === "function") {
      element.addEventListener(key.slice(2), value);
    } else if (value === true) {
      element.setAttribute(key, "");
    } else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(key, String(value));
    }
  }
  element.append(...children.flat().filter((c) => c !== null && c !== undefined));
  return element;
}

export function byId(id) {
  return document.getElementById(id);
}

/** Whether the focus can be on an element now. */
function usable(element) {
  return element.isConnected && !element.disabled && element.tabIndex >= 0 && element.getClientRects().length > 0;
}

function focusable(home) {
  return [...home.querySelectorAll("a[href], button, input, select, [tabindex]")].filter(usable);
}

/**
 * Does work that may take away, hide or disable the element with the focus, and puts the focus on
 * its successor, or on what stands nearest; on `otherwise`, where nothing is left.
 */
export function keepingFocus(home, work, otherwise) {
  const had = document.activeElement;
  const before = home.contains(had) ? focusable(home) : [];
  const at = before.indexOf(had);
  work();
  if (at < 0 || (document.activeElement === had && usable(had))) return;
  const name = (element) => element.id || element.getAttribute("aria-label");
  const now = focusable(home);
  const near = [...before.slice(at), ...before.slice(0, at).reverse()].filter(usable);
  const next = now.find((e) => name(e) && name(e) === name(had)) ?? near[0] ?? now[Math.min(at, now.length - 1)] ?? otherwise;
  next?.focus();
}

/** Words with what stands in `...` as code, without the marks. */
export function told(words) {
  return words.split("`").map((part, i) => (i % 2 ? make("code", {}, part) : part));
}

/** The options of a field to choose from: values with words. */
export function options(all) {
  return all.map(([value, words]) => make("option", { value }, words));
}

/** The view box of a square of this side around the middle of some bounds. */
export function squareAround([x, y, w, h], side) {
  return [x + w / 2 - side / 2, y + h / 2 - side / 2, side, side].map((n) => n.toFixed(3)).join(" ");
}

/** A button of plain words. */
export function button(words, onclick, attributes = {}) {
  return make("button", { type: "button", onclick, ...attributes }, words);
}

let notes = 0;

/** Does work that may move the element with the focus, and scrolls so that it stays where it was. */
export function keepingPlace(work) {
  const had = document.activeElement;
  const before = had.getBoundingClientRect().top;
  work();
  if (had !== document.body && usable(had)) window.scrollBy(0, had.getBoundingClientRect().top - before);
}

/** The same for what is told at the top of the page: who is there sees all of it, and what is below gives way. */
export function keepingPlaceBelow(work) {
  if (window.scrollY > 0) keepingPlace(work);
  else work();
}

/** A line that tells what happened; it goes when it is closed, or when two newer ones came. */
export function note(words, kind = "done") {
  notes += 1;
  const line = make("p", { class: `note ${kind}` }, make("span", {}, told(words)));
  // Who closes it goes on from where the line came up.
  const from = document.activeElement;
  const close = () => {
    line.remove();
    if (usable(from)) from.focus();
  };
  line.append(button("Close", close, { class: "plain" }));
  line.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
  });
  const home = byId("notes");
  home.append(line);
  while (home.children.length > 2) home.firstElementChild.remove();
  document.documentElement.style.setProperty("--notes", `${Math.ceil(home.offsetHeight)}px`);
  if (usable(from)) from.scrollIntoView({ block: "nearest", inline: "nearest" });
}

/** Tells of the copy that was made of what a maker wrote, where one was made now. */
export function noteCopy(answer) {
  if (answer?.copy) note(`The former text of the recipe is kept as ${answer.copy}`);
}

/** Runs what asks the server, and tells what went wrong. */
export async function trying(work) {
  try {
    return await work();
  } catch (error) {
    if (error.name !== "AbortError") note(error.message, "wrong");
    return undefined;
  }
}
