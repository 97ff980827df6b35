//! The list of a `lay(...)` in a recipe's text: how it is read, rewritten, added and removed.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::recipe::diagnostics::tokens::{Token, TokenKind, closing, word};
use crate::recipe::rewrite::quoted;

/// A cell in reading order: its course, then its column.
pub(super) type Key = (i32, i32);

/// A comment inside a block: before which cell it stands, or behind the entry of which.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Comment {
    key: Key,
    text: String,
    behind: bool,
}

/// Comments that follow the last entry.
const LAST: Key = (i32::MAX, i32::MAX);

/// A `lay` whose cells are written out.
#[derive(Debug, Clone)]
pub(super) struct Block {
    /// The list, from bracket to bracket.
    list: Range<usize>,
    /// All of the call, from its point or its word to its last bracket, semicolon included where it
    /// stands alone.
    pub(super) call: Range<usize>,
    /// What is laid in each cell, as it is written.
    pub(super) entries: BTreeMap<Key, String>,
    /// The byte at which the entry of each cell begins.
    pub(super) places: BTreeMap<Key, usize>,
    comments: Vec<Comment>,
    /// What the call has behind its list, up to its last bracket.
    rest: Range<usize>,
}

impl Block {
    /// The block whose word `lay` begins at byte `at`; none where its cells are computed.
    pub(super) fn read(text: &str, all: &[Token], at: usize) -> Option<Self> {
        let lay = all.iter().position(|t| t.span.start == at)?;
        let word = |i: usize| word(text, all, i);
        if word(lay) != "lay" || word(lay + 1) != "(" {
            return None;
        }
        let end = closing(text, all, lay + 1)?;
        let by_name = word(lay + 3) == ",";
        let first = lay + if by_name { 4 } else { 2 };
        if word(first) != "[" {
            return None;
        }
        let last = closing(text, all, first)?;
        let chained = lay > 0 && word(lay - 1) == ".";
        let begins = all[lay - usize::from(chained)].span.start;
        let ends = end + usize::from(!chained && word(end + 1) == ";");
        let mut block = Self {
            list: all[first].span.start..all[last].span.end,
            call: begins..all[ends].span.end,
            entries: BTreeMap::new(),
            places: BTreeMap::new(),
            comments: Vec::new(),
            rest: all[last].span.end..all[end].span.start,
        };
        block.read_entries(text, all, first, last)?;
        Some(block)
    }

    fn read_entries(&mut self, text: &str, all: &[Token], first: usize, last: usize) -> Option<()> {
        let mut at = first + 1;
        let mut before: Option<Key> = None;
        let mut gap = all[first].span.end;
        loop {
            let begins = all[at].span.start;
            let key = if at == last {
                LAST
            } else {
                let (key, cells, call, end) = entry(text, all, at)?;
                for column in cells {
                    self.entries.insert((key.0, column), call.clone());
                    self.places.insert((key.0, column), begins);
                }
                at = end + 1;
                key
            };
            self.take_comments(&text[gap..begins], before, key);
            if key == LAST {
                return Some(());
            }
            before = Some(key);
            gap = all[at - 1].span.end;
            match word(text, all, at) {
                "," => at += 1,
                "]" if at == last => {}
                _ => return None,
            }
        }
    }

    /// The comments between two entries: what stands in the line of the former belongs to it.
    fn take_comments(&mut self, gap: &str, before: Option<Key>, after: Key) {
        let line_end = gap.find('\n').unwrap_or(gap.len());
        let mut at = 0;
        while let Some(found) = gap[at..].find('/') {
            let start = at + found;
            let rest = &gap[start..];
            let length = if rest.starts_with("//") {
                rest.find('\n').unwrap_or(rest.len())
            } else {
                // Comments nest, so up to the last end in this gap.
                rest.rfind("*/").map_or(rest.len(), |end| end + 2)
            };
            let behind = before.filter(|_| start < line_end);
            self.comments.push(Comment {
                key: behind.unwrap_or(after),
                text: rest[..length].trim_end().to_owned(),
                behind: behind.is_some(),
            });
            at = start + length;
        }
    }

    /// Whether the call has no options.
    pub(super) fn is_bare(&self, text: &str) -> bool {
        text[self.rest.clone()].trim().is_empty()
    }

    /// The text with other entries in this block, and other options where some are given; without the
    /// block where there are none and nothing else is said in it.
    pub(super) fn rewritten(
        &self,
        text: &str,
        entries: &BTreeMap<Key, String>,
        options: Option<&str>,
    ) -> String {
        let mut out = text.to_owned();
        if entries.is_empty() && self.is_bare(text) && self.comments.is_empty() {
            let before = &text[..self.call.start];
            let (mut start, mut end) = (before.trim_end().len(), self.call.end);
            if !text[self.call.clone()].starts_with('.') {
                // A statement of its own goes with its line and the empty one before it.
                let one = |s: &str| {
                    if s.ends_with("\r\n") {
                        2
                    } else {
                        usize::from(s.ends_with('\n'))
                    }
                };
                start = before.len() - one(before);
                let after = &text[end..];
                let line = if after.starts_with("\r\n") {
                    2
                } else {
                    usize::from(after.starts_with('\n'))
                };
                end += line;
            }
            out.replace_range(start..end, "");
            return out;
        }
        let indent = indent_of(text, self.call.start);
        let list = list(entries, &self.comments, &indent, line_end(text));
        if let Some(options) = options {
            out.replace_range(self.rest.clone(), options);
        }
        out.replace_range(self.list.clone(), &list);
        out
    }
}

/// An entry that begins at token `at`: its first cell, its columns, its tile as written, and the token
/// that ends it. None where a number is computed, or a comment stands inside.
fn entry(
    text: &str,
    all: &[Token],
    at: usize,
) -> Option<(Key, std::ops::RangeInclusive<i32>, String, usize)> {
    let end = closing(text, all, at).filter(|_| word(text, all, at) == "[")?;
    let mut i = at + 1;
    let from = number(text, all, &mut i)?;
    let to = match word(text, all, i) {
        range @ (".." | "..=") => {
            i += 1;
            number(text, all, &mut i)?.checked_sub(i32::from(range == ".."))?
        }
        _ => from,
    };
    (word(text, all, i) == ",").then_some(())?;
    i += 1;
    let course = number(text, all, &mut i)?;
    (word(text, all, i) == ",").then_some(())?;
    i += 1;
    (i < end && word(text, all, end - 1) != ",").then_some(())?;
    let call = &text[all[i].span.start..all[end - 1].span.end];
    let whole = &text[all[at].span.start..all[end].span.end];
    let commented = whole.contains("//") || whole.contains("/*");
    (!commented && from <= to).then_some(())?;
    Some(((course, from), from..=to, call.to_owned(), end))
}

/// The number that stands at token `i`, which goes on behind it.
fn number(text: &str, all: &[Token], i: &mut usize) -> Option<i32> {
    let minus = word(text, all, *i) == "-";
    let at = *i + usize::from(minus);
    let token = all.get(at).filter(|t| t.kind == TokenKind::Number)?;
    let value: i32 = text[token.span.clone()].parse().ok()?;
    *i = at + 1;
    Some(if minus { -value } else { value })
}

/// The indentation of the line that byte `at` stands in.
fn indent_of(text: &str, at: usize) -> String {
    let line = text[..at].rfind('\n').map_or(0, |n| n + 1);
    let rest = &text[line..];
    rest[..rest.len() - rest.trim_start_matches([' ', '\t']).len()].to_owned()
}

/// How lines of a text end.
fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

/// One step further in.
fn deeper(indent: &str) -> String {
    let step = if indent.contains('\t') { "\t" } else { "    " };
    format!("{indent}{step}")
}

/// A list of entries, a line for each run of cells with the same tile.
fn list(entries: &BTreeMap<Key, String>, comments: &[Comment], indent: &str, end: &str) -> String {
    let inner = deeper(indent);
    let mut out = format!("[{end}");
    let mut waiting: Vec<&Comment> = comments.iter().collect();
    let mut all = entries.iter().peekable();
    while let Some((&(course, from), call)) = all.next() {
        let mut to = from;
        while let Some(&(next_key, next)) = all.peek()
            && *next_key == (course, to + 1)
            && next == call
        {
            to += 1;
            all.next();
        }
        let own = |c: &&Comment| c.behind && c.key.0 == course && (from..=to).contains(&c.key.1);
        waiting.retain(|comment| {
            let before = comment.key <= (course, from) && !own(comment);
            if before {
                out.extend([inner.as_str(), &comment.text, end]);
            }
            !before
        });
        let columns = if from == to {
            from.to_string()
        } else {
            format!("{from}..={to}")
        };
        out.extend([
            inner.as_str(),
            "[",
            &columns,
            ", ",
            &course.to_string(),
            ", ",
            call,
            "],",
        ]);
        waiting.retain(|comment| {
            let behind = own(comment);
            if behind {
                out.extend([" ", &comment.text]);
            }
            !behind
        });
        out.push_str(end);
    }
    for comment in waiting {
        out.extend([inner.as_str(), &comment.text, end]);
    }
    out.push_str(indent);
    out.push(']');
    out
}

/// Where the chain of a panel's words ends, and how far in its lines are.
pub(super) struct Chain {
    /// The byte behind its last bracket.
    pub(super) end: usize,
    indent: String,
}

/// The chain of the `panel(...)` that begins at byte `at`; none where it is begun inside a function,
/// or used for something else than a chain.
pub(super) fn chain(text: &str, all: &[Token], at: usize) -> Option<Chain> {
    let begins = all.iter().position(|t| t.span.start == at)?;
    let word = |i: usize| word(text, all, i);
    let mut open = 0_i32;
    for i in 0..begins {
        match word(i) {
            "(" | "[" | "{" | "#{" | "?[" => open += 1,
            ")" | "]" | "}" => open -= 1,
            _ => {}
        }
    }
    if open != 0 || word(begins) != "panel" {
        return None;
    }
    let mut end = closing(text, all, begins + 1)?;
    let mut indent = deeper(&indent_of(text, at));
    while word(end + 1) == "." && word(end + 3) == "(" {
        let dot = all[end + 1].span.start;
        let own = indent_of(text, dot);
        if text[..dot].ends_with(&own) && text[..dot - own.len()].ends_with('\n') {
            indent = own;
        }
        end = closing(text, all, end + 3)?;
    }
    let over = matches!(word(end + 1), ";" | "");
    over.then(|| Chain {
        end: all[end].span.end,
        indent,
    })
}

/// The text with a block at the end of a chain.
pub(super) fn chained(
    text: &str,
    chain: &Chain,
    entries: &BTreeMap<Key, String>,
    options: &str,
) -> String {
    let (indent, ends) = (&chain.indent, line_end(text));
    let list = list(entries, &[], indent, ends);
    let mut out = text.to_owned();
    out.insert_str(chain.end, &format!("{ends}{indent}.lay({list}{options})"));
    out
}

/// The text with a block for a panel of this name as its last statement.
pub(super) fn added(
    text: &str,
    all: &[Token],
    panel: &str,
    entries: &BTreeMap<Key, String>,
    options: &str,
) -> String {
    let ends = line_end(text);
    let mut out = text.to_owned();
    if let Some(last) = all.last()
        && !matches!(&text[last.span.clone()], ";" | "}")
    {
        out.insert(last.span.end, ';');
    }
    if !out.is_empty() && !out.ends_with('\n') {
        out.push_str(ends);
    }
    let list = list(entries, &[], "", ends);
    let name = quoted(panel);
    out.extend([ends, "lay(", &name, ", ", &list, options, ");", ends]);
    out
}
