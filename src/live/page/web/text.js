// The recipe's text beside the panel: it follows the file, and the file follows it. Where both have
// changed, the maker says which holds; neither is lost.

import { button, byId, make, noteCopy, trying } from "./make.js";
import { read, send } from "./server.js";

/** After so long without a key the text is saved, where it is to be saved as one types. */
const PAUSE = 500;

export class RecipeText {
  constructor(hands) {
    this.hands = hands;
    this.home = byId("text");
    this.frame = byId("side-by-side");
    this.editor = null;
    this.open = false;
    /** The mark of the text that what is in the editor was made from. */
    this.mark = null;
    this.dirty = false;
    this.auto = make("input", { type: "checkbox", id: "text-auto" });
    this.auto.addEventListener("change", () => this.later());
    this.said = make("p", { id: "text-told", class: "quiet", "aria-live": "polite" });
    this.clash = make("div", { class: "text-clash", role: "alert", hidden: true });
    this.pane = make("div", { class: "text-home" });
    this.name = make("input", { type: "text", id: "text-name", placeholder: "name", "aria-label": "Name of the parameter", hidden: true });
    this.name.addEventListener("keydown", (event) => {
      if (event.key === "Enter") this.parameter(this.name.value.trim());
    });
    this.switch = button("Text", () => this.set(!this.open), { id: "text-switch", "aria-pressed": "false", title: "The recipe's text beside the panel" });
    byId("tools").append(this.switch);
    this.body = make(
      "div",
      { hidden: true },
      make(
        "div",
        { class: "bar" },
        button("Save", () => this.save(), { id: "text-save", title: "Save (Ctrl+S)" }),
        make("span", { class: "check" }, this.auto, make("label", { for: "text-auto" }, "as I type")),
        button("Make it a parameter", () => this.parameter(), { id: "text-parameter", title: "The number, colour or text at the cursor becomes a knob" }),
        this.name,
      ),
      this.clash,
      this.pane,
      make("p", { class: "quiet" }, "Hold Alt and draw a number along, or press Ctrl with an arrow key on it. A colour is picked at its chip, or with Ctrl and a point."),
      this.said,
    );
    this.home.append(this.body);
    hands.marked = (lines) => this.editor?.showLines(lines);
  }

  async set(open) {
    this.open = open;
    this.switch.setAttribute("aria-pressed", String(open));
    this.body.hidden = !open;
    this.frame.classList.toggle("with-text", open);
    if (!open) return;
    await trying(async () => {
      if (!this.editor) {
        const [{ Editor }, words] = await Promise.all([import("./editor.js"), read("/api/words")]);
        this.editor ??= new Editor(this.pane, {
          label: "Text of the recipe",
          words,
          dyes: this.colours,
          drawn: (ended) => this.drawn(ended),
          changed: () => this.changed(),
          save: () => this.save(),
          moved: (line) => this.hands.pickLine(line),
        });
        // Long lines are reached by keys too.
        this.pane.shadowRoot.querySelector(".cm-scroller").tabIndex = 0;
      }
      await this.follow();
    });
  }

  /** A number is drawn along: the panel follows, and all of it is one step. */
  drawn(ended) {
    this.draws ??= 0;
    this.drawing = this.draws;
    if (ended) this.draws += 1;
    this.save();
  }

  /** Takes a state: the file may be another, the text may be at fault. */
  take(state, colours) {
    this.colours = colours ?? this.colours ?? [];
    this.fault = state.fault;
    const sign = JSON.stringify([state.shown, state.fault]);
    if (this.sign === sign) return;
    this.sign = sign;
    if (this.open && this.editor) trying(() => this.follow());
  }

  /** Reads the file, and shows what it holds, unless something else is being written here. */
  async follow() {
    const now = await read("/api/text");
    if (this.mark === null || !this.dirty) this.follows(now);
    else if (now.mark !== this.mark && now.text !== this.editor.text) this.ask(now);
    const place = this.fault?.place;
    const line = this.fault?.lines.find((l) => l.number === place?.line);
    const here = place && place.name === now.name && line;
    const message = [this.fault?.message, this.fault?.help && `Try: ${this.fault.help}`].filter(Boolean).join("\n");
    this.editor.setFaults(here ? [{ line: place.line, column: place.column, length: line.at.length, message }] : []);
  }

  /** Shows what the file holds. */
  follows({ text, mark }) {
    this.editor.setText(text);
    this.mark = mark;
    this.dirty = false;
    this.settle();
  }

  changed() {
    this.dirty = true;
    this.said.textContent = "Not saved yet";
    this.later();
  }

  later() {
    clearTimeout(this.timer);
    if (this.auto.checked && this.dirty && this.clash.hidden) this.timer = setTimeout(() => this.save(), PAUSE);
  }

  async save() {
    clearTimeout(this.timer);
    if (!this.editor || (!this.dirty && this.clash.hidden)) return;
    if (this.saving) {
      this.again = true;
      return;
    }
    const { text } = this.editor;
    const draw = this.drawing ?? null;
    this.drawing = null;
    this.hands.bench.does(this.mark, ...(draw === null ? ["text saved"] : ["number changed", `text ${draw}`]));
    this.saving = true;
    const answer = await trying(() => send("/api/text", { over: this.mark, text }));
    this.saving = false;
    const { again } = this;
    this.again = false;
    if (again) this.drawing ??= draw;
    if (answer?.changed) {
      this.ask(answer.changed);
      return;
    }
    if (answer) {
      this.mark = answer.mark;
      this.dirty = this.editor.text !== text;
      this.settle();
      noteCopy(answer);
    }
    if (again) this.save();
    else if (this.dirty) this.later();
  }

  settle() {
    this.clash.hidden = true;
    this.said.textContent = this.dirty ? "Not saved yet" : "As in the file";
  }

  /** Both have changed: asks which holds. */
  ask(now) {
    clearTimeout(this.timer);
    this.clash.hidden = false;
    this.clash.replaceChildren(
      make("p", {}, "Another program saved the file while you were typing. Which text do you want to keep?"),
      make(
        "div",
        { class: "pair" },
        button("The one in the file", () => this.follows(now), { id: "text-theirs" }),
        button("The one here", () => {
          this.mark = now.mark;
          this.dirty = true;
          this.clash.hidden = true;
          this.save();
        }, { id: "text-mine" }),
      ),
    );
  }

  /** The value at the cursor becomes a parameter; where it has no name yet, one is asked for. */
  async parameter(name) {
    if (!this.editor) return;
    const { from } = this.editor.selection;
    const body = { text: this.editor.text, at: from, ...(name ? { name } : {}) };
    const answer = await trying(() => send("/api/text/parameter", body));
    if (!answer) return;
    if (!answer.text) {
      this.name.hidden = false;
      this.name.focus();
      return;
    }
    this.name.hidden = true;
    this.name.value = "";
    this.editor.setText(answer.text);
    this.changed();
    this.save();
  }
}
