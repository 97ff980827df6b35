// The recipe's text: colours, completion and help at the pointer from the words' own documentation, and
// faults marked in place. It lives in a shadow root, so that its style sheets need no leave of the
// page's policy.

import { autocompletion, closeBrackets, closeBracketsKeymap, completionKeymap } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap, indentWithTab } from "@codemirror/commands";
import { bracketMatching, HighlightStyle, indentOnInput, indentUnit, StreamLanguage, syntaxHighlighting } from "@codemirror/language";
import { lintGutter, setDiagnostics } from "@codemirror/lint";
import { highlightSelectionMatches, searchKeymap } from "@codemirror/search";
import { EditorState, StateEffect, StateField, Transaction } from "@codemirror/state";
import { Decoration, drawSelection, EditorView, highlightActiveLine, highlightActiveLineGutter, hoverTooltip, keymap, lineNumbers, MatchDecorator, showTooltip, ViewPlugin, WidgetType } from "@codemirror/view";
import { tags } from "@lezer/highlight";

const KEYWORDS = new Set("let const if else switch for in while loop do until break continue return fn import as try catch throw this true false".split(" "));

const rhai = StreamLanguage.define({
  startState: () => ({ comment: 0, text: "" }),
  token(stream, state) {
    if (state.comment > 0) {
      while (!stream.eol()) {
        if (stream.match("*/")) {
          state.comment -= 1;
          if (state.comment === 0) break;
        } else if (stream.match("/*")) state.comment += 1;
        else stream.next();
      }
      return "comment";
    }
    if (state.text) {
      while (!stream.eol()) if (stream.next() === state.text) {
        state.text = "";
        break;
      }
      return "string";
    }
    if (stream.eatSpace()) return null;
    if (stream.match("//")) {
      stream.skipToEnd();
      return "comment";
    }
    if (stream.match("/*")) {
      state.comment = 1;
      return "comment";
    }
    if (stream.match(/^"(?:[^"\\]|\\.)*"?/) || stream.match(/^'(?:[^'\\]|\\.)*'?/)) return "string";
    if (stream.eat("`")) {
      state.text = "`";
      return "string";
    }
    if (stream.match(/^\d[\w]*(?:\.\d\w*)?/)) return "number";
    const name = stream.match(/^[\p{L}_][\p{L}\p{N}_]*/u);
    if (name) {
      if (KEYWORDS.has(name[0])) return "keyword";
      return stream.match(/^\s*\(/, false) ? "function" : "variableName";
    }
    stream.next();
    return null;
  },
  tokenTable: { function: tags.function(tags.variableName) },
  languageData: { commentTokens: { line: "//", block: { open: "/*", close: "*/" } }, closeBrackets: { brackets: ["(", "[", "{", '"', "`"] } },
});

const colours = HighlightStyle.define([
  { tag: tags.keyword, color: "var(--word)", fontWeight: "600" },
  { tag: tags.comment, color: "var(--soft)", fontStyle: "italic" },
  { tag: tags.string, color: "var(--good)" },
  { tag: tags.number, color: "var(--bad)" },
  { tag: tags.function(tags.variableName), color: "var(--wood)" },
]);

const theme = EditorView.theme({
  "&": { height: "100%", backgroundColor: "var(--sheet)", color: "var(--ink)", fontSize: "0.95rem" },
  ".cm-scroller": { fontFamily: 'ui-monospace, "DejaVu Sans Mono", monospace', lineHeight: "1.5" },
  ".cm-gutters": { backgroundColor: "var(--paper)", color: "var(--soft)", borderRight: "1px solid var(--edge)" },
  ".cm-activeLine, .cm-activeLineGutter": { backgroundColor: "color-mix(in srgb, var(--chosen) 45%, transparent)" },
  ".cm-cursor": { borderLeftColor: "var(--ink)" },
  "&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground": { backgroundColor: "var(--blame)" },
  ".cm-tooltip": { backgroundColor: "var(--sheet)", color: "var(--ink)", border: "1px solid var(--line)", maxWidth: "34rem" },
  ".cm-tooltip-autocomplete ul li[aria-selected]": { backgroundColor: "var(--wood)", color: "var(--on-wood)" },
  ".help": { padding: "0.5rem 0.7rem", maxWidth: "34rem", maxHeight: "18rem", overflowY: "auto", whiteSpace: "pre-wrap", font: "0.9rem/1.4 system-ui, sans-serif" },
  ".help .form": { font: "0.87rem/1.5 ui-monospace, monospace", display: "block" },
  ".chip": { display: "inline-block", width: "1em", height: "1em", minHeight: "0", padding: "0", border: "1px solid var(--line)", borderRadius: "3px", verticalAlign: "-0.12em", marginRight: "0.25em", cursor: "pointer" },
  ".palette": { display: "flex", flexWrap: "wrap", gap: "3px", padding: "0.4rem", maxWidth: "24rem", maxHeight: "15rem", overflowY: "auto" },
  ".palette button": { display: "flex", gap: "0.3rem", alignItems: "center", font: "0.87rem system-ui, sans-serif", color: "inherit", background: "var(--paper)", border: "1px solid var(--line)", borderRadius: "3px", padding: "2px 6px", minHeight: "1.6rem", cursor: "pointer" },
  ".shown": { backgroundColor: "var(--blame)" },
});

/** Help on a word: its forms, then what it is. Text, never markup. */
function help(word) {
  const home = document.createElement("div");
  home.className = "help";
  for (const form of word.forms) {
    const line = document.createElement("span");
    line.className = "form";
    line.textContent = form;
    home.append(line);
  }
  home.append(document.createTextNode(word.doc));
  return home;
}

function completions(words) {
  const option = (word) => ({
    label: word.name,
    detail: word.group,
    type: word.property ? "property" : "function",
    info: () => help(word),
  });
  const methods = words.filter((word) => word.method || word.property).map(option);
  const plain = words.filter((word) => !word.property).map(option);
  return (context) => {
    const typed = context.matchBefore(/[\p{L}_][\p{L}\p{N}_]*/u);
    if (!typed && !context.explicit) return context.matchBefore(/\.$/) ? { from: context.pos, options: methods } : null;
    const from = typed ? typed.from : context.pos;
    const dotted = context.state.sliceDoc(Math.max(0, from - 1), from) === ".";
    if (dotted) return { from, options: methods };
    const own = new Set();
    for (const [, name] of context.state.doc.toString().matchAll(/\b(?:let|const|fn)\s+([\p{L}_][\p{L}\p{N}_]*)/gu)) own.add(name);
    return { from, options: [...[...own].map((label) => ({ label, type: "variable", boost: 1 })), ...plain] };
  };
}

// Numbers are drawn along, woods and dyes are picked.

/** Pixels of the pointer for a step of a number. */
const PER_STEP = 5;
const NUMBER = /(?<![\p{L}\p{N}_."])-?\d+(?:\.\d+)?(?![\p{L}\p{N}_.])/gu;

/** The number at a place: where it stands and its text. */
function numberAt(state, pos) {
  const line = state.doc.lineAt(pos);
  const code = line.text.replace(/\/\/.*$/, "");
  for (const found of code.matchAll(NUMBER)) {
    const from = line.from + found.index;
    if (from <= pos && pos <= from + found[0].length) return { from, text: found[0] };
  }
  return null;
}

/** A number some steps on: a step is one of its last digit. */
function stepped(text, steps) {
  const digits = (text.split(".")[1] ?? "").length;
  return (Number(text) + steps * 10 ** -digits).toFixed(digits);
}

function putNumber(view, at, old, text) {
  view.dispatch({ changes: { from: at, to: at + old.length, insert: text }, selection: { anchor: at }, userEvent: "input.number" });
}

/** One step of the number at the cursor. */
function nudge(view, steps, drawn) {
  const found = numberAt(view.state, view.state.selection.main.head);
  if (!found) return false;
  putNumber(view, found.from, found.text, stepped(found.text, steps));
  drawn(true);
  return true;
}

/** A number is drawn along with the pointer while Alt is held; `drawn` hears each step, and the end. */
const drawing = (drawn) =>
  EditorView.domEventHandlers({
    mousedown(event, view) {
      const pos = event.altKey && event.button === 0 ? view.posAtCoords({ x: event.clientX, y: event.clientY }) : null;
      const found = pos === null ? null : numberAt(view.state, pos);
      if (!found) return false;
      event.preventDefault();
      let { text } = found;
      const move = (now) => {
        const next = stepped(found.text, Math.round((now.clientX - event.clientX) / PER_STEP));
        if (next === text) return;
        putNumber(view, found.from, text, next);
        text = next;
        drawn(false);
      };
      const up = () => {
        window.removeEventListener("mousemove", move);
        window.removeEventListener("mouseup", up);
        view.focus();
        drawn(true);
      };
      window.addEventListener("mousemove", move);
      window.addEventListener("mouseup", up);
      return true;
    },
  });

const pick = StateEffect.define();
/** Where colours are picked: a place of the text, or none. */
const picking = StateField.define({
  create: () => null,
  update(value, transaction) {
    for (const effect of transaction.effects) if (effect.is(pick)) return effect.value;
    return transaction.docChanged ? null : value;
  },
  provide: (field) => showTooltip.from(field, (value) => value && { pos: value.from, create: (view) => ({ dom: palette(view, value) }) }),
});

/** Woods and dyes to put in the place of one. */
function palette(view, { from, to, colours }) {
  const home = document.createElement("div");
  home.className = "palette";
  home.setAttribute("role", "group");
  home.setAttribute("aria-label", "Woods and dyes");
  for (const [name, colour] of colours) {
    const one = document.createElement("button");
    one.type = "button";
    const chip = document.createElement("span");
    chip.className = "chip";
    chip.style.background = colour;
    one.append(chip, name);
    one.addEventListener("click", () => {
      view.dispatch({ changes: { from, to, insert: name }, effects: pick.of(null), userEvent: "input.colour" });
      view.focus();
    });
    home.append(one);
  }
  home.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    view.dispatch({ effects: pick.of(null) });
    view.focus();
  });
  return home;
}

class Chip extends WidgetType {
  constructor(name, colour, colours) {
    super();
    Object.assign(this, { name, colour, colours });
  }

  eq(other) {
    return other.name === this.name;
  }

  toDOM(view) {
    // For the pointer alone: keys have a way of their own.
    const one = document.createElement("span");
    one.className = "chip";
    one.title = `Another colour than ${this.name}`;
    one.setAttribute("aria-hidden", "true");
    one.style.background = this.colour;
    one.addEventListener("click", () => {
      const from = view.posAtDOM(one) + 1;
      view.dispatch({ effects: pick.of({ from, to: from + this.name.length, colours: this.colours }) });
    });
    return one;
  }

  ignoreEvent() {
    return true;
  }
}

/** A chip before each text that names a wood or dye. */
function chips(colours) {
  const by = new Map(colours);
  const matcher = new MatchDecorator({
    regexp: /"([a-z][a-z ]*)"/g,
    decorate: (add, from, to, match) => {
      const colour = by.get(match[1]) ?? (CSS.supports("color", match[1]) ? match[1] : null);
      if (colour) add(from, from, Decoration.widget({ widget: new Chip(match[1], colour, colours), side: 1 }));
    },
  });
  return ViewPlugin.fromClass(
    class {
      constructor(view) {
        this.decorations = matcher.createDeco(view);
      }

      update(update) {
        this.decorations = matcher.updateDeco(update, this.decorations);
      }
    },
    { decorations: (plugin) => plugin.decorations },
  );
}

/** Picks a colour for the one at the cursor, by keys. */
function pickHere(view, colours) {
  const { head } = view.state.selection.main;
  const line = view.state.doc.lineAt(head);
  for (const found of line.text.matchAll(/"([a-z][a-z ]*)"/g)) {
    const from = line.from + found.index + 1;
    if (head < from - 1 || head > from + found[1].length + 1 || !(colours.some(([name]) => name === found[1]) || CSS.supports("color", found[1]))) continue;
    view.dispatch({ effects: pick.of({ from, to: from + found[1].length, colours }) });
    requestAnimationFrame(() => view.dom.querySelector(".palette button")?.focus());
    return true;
  }
  return false;
}

const show = StateEffect.define();
const shown = StateField.define({
  create: () => Decoration.none,
  update(marks, transaction) {
    marks = marks.map(transaction.changes);
    for (const effect of transaction.effects) {
      if (!effect.is(show)) continue;
      const lines = effect.value.map((from) => Decoration.line({ class: "shown" }).range(from));
      marks = Decoration.set(lines, true);
    }
    return marks;
  },
  provide: (field) => EditorView.decorations.from(field),
});

export class Editor {
  /**
   * `changed` hears each change that was typed, `save` a wish to save, `moved` the line of the cursor, and
   * `drawn` each step of a number that is drawn along, the last with `true`.
   */
  constructor(home, { label, words, dyes, changed, save, moved, drawn }) {
    const root = home.attachShadow({ mode: "open" });
    const inner = document.createElement("div");
    root.append(inner);
    inner.style.height = "100%";
    const by = new Map(words.map((word) => [word.name, word]));
    const own = Transaction.userEvent;
    this.view = new EditorView({
      root,
      parent: inner,
      state: EditorState.create({
        doc: "",
        extensions: [
          lineNumbers(),
          highlightActiveLineGutter(),
          highlightActiveLine(),
          history(),
          drawSelection(),
          indentOnInput(),
          indentUnit.of("    "),
          bracketMatching(),
          closeBrackets(),
          highlightSelectionMatches(),
          rhai,
          syntaxHighlighting(colours),
          autocompletion({ override: [completions(words)], icons: false }),
          hoverTooltip((view, pos) => {
            const word = view.state.wordAt(pos);
            const found = word && by.get(view.state.sliceDoc(word.from, word.to));
            return found ? { pos: word.from, end: word.to, create: () => ({ dom: help(found) }) } : null;
          }),
          lintGutter(),
          drawing(drawn),
          chips(dyes),
          picking,
          shown,
          theme,
          EditorView.lineWrapping,
          EditorView.contentAttributes.of({ "aria-label": label }),
          EditorView.updateListener.of((update) => {
            if (update.docChanged && !update.transactions.every((t) => t.annotation(own) === "server")) changed();
            if (update.selectionSet) moved?.(update.state.doc.lineAt(update.state.selection.main.head).number);
          }),
          keymap.of([
            { key: "Mod-s", run: () => (save(), true), preventDefault: true },
            { key: "Ctrl-ArrowUp", run: (view) => nudge(view, 1, drawn) },
            { key: "Ctrl-ArrowDown", run: (view) => nudge(view, -1, drawn) },
            { key: "Ctrl-.", run: (view) => pickHere(view, dyes) },
            ...closeBracketsKeymap,
            ...completionKeymap,
            ...searchKeymap,
            ...historyKeymap,
            ...defaultKeymap,
            // Escape and then Tab leaves the text.
            indentWithTab,
          ]),
        ],
      }),
    });
  }

  get text() {
    return this.view.state.doc.toString();
  }

  /** Puts another text in its place, by the least change, so that cursor and scroll stay. */
  setText(text) {
    const old = this.text;
    if (old === text) return;
    let from = 0;
    const most = Math.min(old.length, text.length);
    while (from < most && old[from] === text[from]) from += 1;
    let end = 0;
    while (end < most - from && old[old.length - 1 - end] === text[text.length - 1 - end]) end += 1;
    this.view.dispatch({
      changes: { from, to: old.length - end, insert: text.slice(from, text.length - end) },
      annotations: Transaction.userEvent.of("server"),
    });
  }

  /** Marks faults: `{ line, column, length, message }`, lines and columns from 1. */
  setFaults(faults) {
    const { doc } = this.view.state;
    const marks = faults
      .filter((fault) => fault.line >= 1 && fault.line <= doc.lines)
      .map((fault) => {
        const line = doc.line(fault.line);
        const from = Math.min(line.to, line.from + fault.column - 1);
        return { from, to: Math.min(doc.length, Math.max(from + 1, from + fault.length)), severity: "error", message: fault.message };
      });
    this.view.dispatch(setDiagnostics(this.view.state, marks));
  }

  /** Shows lines, counted from 1, and brings the first of them into sight. */
  showLines(lines) {
    const { doc } = this.view.state;
    const starts = lines.filter((n) => n >= 1 && n <= doc.lines).map((n) => doc.line(n).from);
    const effects = [show.of(starts)];
    if (starts.length) effects.push(EditorView.scrollIntoView(starts[0], { y: "center" }));
    this.view.dispatch({ effects });
  }

  /** What is selected: from, to and the text. */
  get selection() {
    const { from, to } = this.view.state.selection.main;
    return { from, to, text: this.view.state.sliceDoc(from, to) };
  }

  focus() {
    this.view.focus();
  }
}
