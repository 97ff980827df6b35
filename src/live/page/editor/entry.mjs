// The recipe's text: colours, completion and help at the pointer from the words' own documentation, and
// faults marked in place. It lives in a shadow root, so that its style sheets need no leave of the
// page's policy.

import { autocompletion, closeBrackets, closeBracketsKeymap, completionKeymap } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap, indentWithTab } from "@codemirror/commands";
import { bracketMatching, HighlightStyle, indentOnInput, indentUnit, StreamLanguage, syntaxHighlighting } from "@codemirror/language";
import { lintGutter, setDiagnostics } from "@codemirror/lint";
import { highlightSelectionMatches, searchKeymap } from "@codemirror/search";
import { EditorState, StateEffect, StateField, Transaction } from "@codemirror/state";
import { Decoration, drawSelection, EditorView, highlightActiveLine, highlightActiveLineGutter, hoverTooltip, keymap, lineNumbers } from "@codemirror/view";
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
  /** `changed` hears each change that was typed, `save` a wish to save, `moved` the line of the cursor. */
  constructor(home, { label, words, changed, save, moved }) {
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
