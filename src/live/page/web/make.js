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

/** A button of plain words. */
export function button(words, onclick, attributes = {}) {
  return make("button", { type: "button", onclick, ...attributes }, words);
}

let notes = 0;

/** A line that tells what happened; it goes when it is closed, or when three newer ones came. */
export function note(words, kind = "done") {
  notes += 1;
  const line = make("p", { class: `note ${kind}` }, words);
  line.append(button("Close", () => line.remove(), { class: "plain" }));
  const home = byId("notes");
  home.append(line);
  while (home.children.length > 3) home.firstElementChild.remove();
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
