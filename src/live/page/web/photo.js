// A sheet's layers from a photo of its edge: the photo is dropped here, two lines are drawn to its faces, and the core
// reads what lies between them. The browser decodes the photo; it does not leave the machine.

import { button, make, note, trying } from "./make.js";
import { send } from "./server.js";

/** So large the photo is painted, in pixels. */
const PAINTED = 1600;
/** So many pixels are read. */
const MOST = 600_000;
/** So much beyond the lines is read as well, as a share of the thickness. */
const BEYOND = 0.08;
/** The two lines are never nearer to one another, as a share of the photo's height. */
const APART = 0.02;

export class Photo {
  constructor(home) {
    const chosen = (event) => this.open(event.target.files[0]);
    const file = make("input", { type: "file", accept: "image/png,image/jpeg", onchange: chosen, "aria-label": "Photo of a sheet's edge" });
    this.canvas = make("canvas", { role: "img", "aria-label": "The photo" });
    this.handles = ["Upper face", "Lower face"].map((name, i) => this.handle(name, i));
    this.frame = make("div", { class: "photo-frame" }, this.canvas, this.handles);
    this.thickness = make("input", { type: "text", value: "18 mm", id: "photo-thickness", autocomplete: "off" });
    this.plies = make("input", { type: "text", inputmode: "numeric", id: "photo-plies", autocomplete: "off" });
    const asked = make("div", { class: "bar" },
      button("Turn a quarter", () => this.turn()),
      make("label", { for: "photo-thickness" }, "Thickness as measured"), this.thickness,
      make("label", { for: "photo-plies" }, "Layers, if you can count them"), this.plies,
      button("Read the layers", () => this.read()));
    this.about = make("p", { class: "quiet" }, "Draw the two lines to the faces, or move them with the arrow keys. The layers are to run from left to right.");
    this.opened = make("div", { hidden: true }, this.about, this.frame, asked);
    this.told = make("ol", { "aria-label": "The layers, from the upper face" });
    this.unsure = make("p", { hidden: true }, "Yellow lines are unsure: count the layers, give their number and read again.");
    this.text = make("pre", { class: "plan", tabindex: "0", role: "region", "aria-label": "The sheet for a recipe" });
    this.result = make("div", { hidden: true }, this.told, this.unsure, this.text, button("Copy the text", () => this.copy()));
    this.home = make("details", { id: "photo" },
      make("summary", {}, "A sheet from a photo of its edge"),
      make("p", { class: "quiet" }, "Drop a photo or scan of the edge here, or choose one. It stays on your machine."),
      file, this.opened, this.result);
    this.home.addEventListener("dragover", (event) => event.preventDefault());
    this.home.addEventListener("drop", (event) => {
      event.preventDefault();
      event.stopPropagation();
      this.open(event.dataTransfer.files[0]);
    });
    home.prepend(this.home);
  }

  /** A line across the photo that is drawn, or moved with the keys. */
  handle(name, i) {
    const line = make("div", { class: "photo-face", role: "slider", tabindex: "0", "aria-label": name, "aria-orientation": "vertical", "aria-valuemin": 0, "aria-valuemax": 100 });
    const to = ({ clientY }) => {
      const { top, height } = this.canvas.getBoundingClientRect();
      this.place(i, (clientY - top) / height);
    };
    line.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      line.setPointerCapture(event.pointerId);
      line.focus();
      to(event);
    });
    line.addEventListener("pointermove", (event) => {
      if (line.hasPointerCapture(event.pointerId)) to(event);
    });
    line.addEventListener("keydown", (event) => {
      const by = { ArrowUp: -0.002, ArrowDown: 0.002, PageUp: -0.05, PageDown: 0.05, Home: -1, End: 1 }[event.key];
      if (by === undefined) return;
      event.preventDefault();
      this.place(i, this.faces[i] + by);
    });
    return line;
  }

  /** The lines never pass each other. */
  place(i, at) {
    const [least, most] = i ? [this.faces[0] + APART, 1] : [0, this.faces[1] - APART];
    this.faces[i] = Math.min(most, Math.max(least, at));
    this.changed();
  }

  /** What was read is of the lines as they were. */
  changed() {
    this.lines = [];
    this.result.hidden = true;
    this.paint();
  }

  async open(file) {
    if (!file) return;
    let photo;
    try {
      photo = await createImageBitmap(file);
    } catch {
      note(`${file.name} is no picture that this browser can read: take a PNG or a JPEG.`, "wrong");
      return;
    }
    this.photo?.close();
    this.photo = photo;
    this.quarters = 0;
    this.faces = [0.1, 0.9];
    this.home.open = true;
    this.opened.hidden = false;
    this.changed();
  }

  turn() {
    this.quarters = (this.quarters + 1) % 4;
    this.changed();
  }

  /** Width and height of the photo as it stands. */
  size() {
    const { width, height } = this.photo;
    return this.quarters % 2 ? [height, width] : [width, height];
  }

  /** Paints the rows of the photo between two shares of its height, as it stands, at a scale. */
  onto(canvas, scale, [top, bottom]) {
    const [width, height] = this.size().map((side) => side * scale);
    canvas.width = Math.max(1, Math.round(width));
    canvas.height = Math.max(1, Math.round((bottom - top) * height));
    const context = canvas.getContext("2d");
    context.imageSmoothingQuality = "high";
    context.translate(width / 2, height / 2 - top * height);
    context.rotate((this.quarters * Math.PI) / 2);
    const [wide, high] = this.quarters % 2 ? [height, width] : [width, height];
    context.drawImage(this.photo, -wide / 2, -high / 2, wide, high);
    context.resetTransform();
    return context;
  }

  paint() {
    const context = this.onto(this.canvas, Math.min(1, PAINTED / Math.max(...this.size())), [0, 1]);
    const { width, height } = this.canvas;
    context.lineWidth = Math.max(1, width / 700);
    context.setLineDash([width / 60, width / 60]);
    for (const { left, right, unsure } of this.lines) {
      context.strokeStyle = unsure ? "#ff0" : "#f0f";
      context.beginPath();
      context.moveTo(0, left * height);
      context.lineTo(width, right * height);
      context.stroke();
    }
    this.handles.forEach((line, i) => {
      const percent = 100 * this.faces[i];
      line.style.top = `${percent}%`;
      line.setAttribute("aria-valuenow", Math.round(percent));
      line.setAttribute("aria-valuetext", `${percent.toFixed(1)} % from the top`);
    });
  }

  /** What lies between the lines and a little beyond, as the core takes it, and the rows that this is. */
  pixels() {
    const [upper, lower] = this.faces;
    const more = BEYOND * (lower - upper);
    const rows = [Math.max(0, upper - more), Math.min(1, lower + more)];
    const share = rows[1] - rows[0];
    const [width, height] = this.size();
    const canvas = document.createElement("canvas");
    const context = this.onto(canvas, Math.min(1, Math.sqrt(MOST / (width * height * share))), rows);
    const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
    let bytes = "";
    for (let i = 0; i < data.length; i += 4) bytes += String.fromCharCode(data[i], data[i + 1], data[i + 2]);
    const faces = this.faces.map((at) => (at - rows[0]) / share);
    return [rows, { width: canvas.width, height: canvas.height, base64: btoa(bytes), faces }];
  }

  async read() {
    const counted = this.plies.value.trim();
    if (counted && !/^\d{1,4}$/.test(counted)) {
      note(`\`${counted}\` is no number of layers: write a whole number, or leave it out.`, "wrong");
      return;
    }
    const [rows, pixels] = this.pixels();
    const asked = { ...pixels, thickness: this.thickness.value, plies: counted ? Number(counted) : null };
    const found = await trying(() => send("/api/layers", asked));
    if (!found) return;
    const row = (at) => rows[0] + (rows[1] - rows[0]) * at;
    this.lines = found.lines.map(({ left, right, unsure }) => ({ left: row(left), right: row(right), unsure }));
    this.told.replaceChildren(...found.told.map((words) => make("li", {}, words)));
    this.unsure.hidden = !found.unsure;
    this.text.textContent = found.text;
    this.result.hidden = false;
    this.paint();
  }

  async copy() {
    try {
      await navigator.clipboard.writeText(this.text.textContent);
      note("Copied: paste it into the recipe.");
    } catch {
      // Some browsers leave this to the maker's own hand.
      getSelection().selectAllChildren(this.text);
      note("The browser does not let the page copy. The text is selected: copy it with the keys or the menu.", "wrong");
    }
  }
}
