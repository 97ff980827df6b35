//! Changes to a rack's text that leave comments and order as they are.

use std::fmt::Write as _;

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};

use super::list::List;

/// Writes lists that stand on one line, `scrap = [{ .. }]`, as tables of their own, to which others can be added.
pub(super) fn open_lists(document: &mut DocumentMut) {
    let lists = List::ALL.map(List::word);
    for word in lists.into_iter().chain(["booked"]) {
        if let Some(item) = document.get_mut(word)
            && item.is_value()
        {
            *item = match std::mem::take(item).into_array_of_tables() {
                Ok(list) => Item::ArrayOfTables(list),
                Err(item) => item,
            };
        }
    }
}

pub(super) fn list(document: &DocumentMut, list: List) -> Option<&ArrayOfTables> {
    document.get(list.word())?.as_array_of_tables()
}

/// A list to change; empty where there is none yet.
pub(super) fn list_mut<'a>(
    document: &'a mut DocumentMut,
    word: &str,
) -> Option<&'a mut ArrayOfTables> {
    document
        .entry(word)
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
}

/// Says in the text that it is a rack, where it does not say so.
pub(super) fn say_rack(document: &mut DocumentMut) {
    if !document.contains_key("rack") {
        document.insert("rack", value(true));
    }
}

/// How many are left of an entry; the comments behind the number stay.
pub(super) fn set_count(table: &mut Table, count: u32) {
    let new = i64::from(count);
    match table.get_mut("count").and_then(Item::as_value_mut) {
        Some(known) => {
            let decor = known.decor().clone();
            *known = new.into();
            *known.decor_mut() = decor;
        }
        None => {
            table.insert("count", value(new));
        }
    }
}

/// Takes out the entries of a list that are used up. What a comment above one says of more than this entry (all
/// before the last empty line) stays above the next.
pub(super) fn remove(document: &mut DocumentMut, word: &str, used_up: &[usize]) {
    let Some(list) = list_mut(document, word) else {
        return;
    };
    let mut kept = String::new();
    for &at in used_up.iter().rev() {
        let table = list.remove(at);
        let above = table
            .decor()
            .prefix()
            .and_then(|p| p.as_str())
            .unwrap_or("");
        if let Some(end) = above.rfind("\n\n")
            && above[..end].contains('#')
        {
            kept = format!("{}\n{kept}", &above[..end]);
        }
        if let Some(next) = list.get_mut(at)
            && !kept.is_empty()
        {
            let own = next
                .decor()
                .prefix()
                .and_then(|p| p.as_str())
                .unwrap_or("")
                .to_owned();
            next.decor_mut().set_prefix(format!("{kept}{own}"));
            kept.clear();
        }
    }
    let empty = list.is_empty();
    if empty {
        document.remove(word);
    }
    if !kept.is_empty() {
        let end = document.trailing().as_str().unwrap_or("").to_owned();
        document.set_trailing(format!("{kept}{end}"));
    }
}

/// Gives every entry of a list that has none the name that the plan calls it by.
pub(super) fn name_all(document: &mut DocumentMut, word: &str) {
    let Some(list) = list_mut(document, word) else {
        return;
    };
    for (i, table) in list.iter_mut().enumerate() {
        if !table.contains_key("name") {
            table.insert("name", value(format!("{word} {}", i + 1)));
        }
    }
}

/// All pieces as text, each entry's keys in order: the same for the same pieces, whatever comments say.
pub(super) fn pieces(document: &DocumentMut) -> String {
    let mut text = String::new();
    for word in List::ALL.map(List::word) {
        let Some(list) = document.get(word).and_then(Item::as_array_of_tables) else {
            continue;
        };
        for table in list {
            let _ = writeln!(text, "[{word}]\n{}", entries(table));
        }
    }
    text
}

/// What an entry says, its keys in order; without comments.
pub(super) fn entries(table: &Table) -> String {
    let mut lines: Vec<String> = table
        .iter()
        .filter_map(|(key, item)| {
            let mut plain = item.as_value()?.clone();
            plain.decor_mut().clear();
            Some(format!("{key} = {plain}"))
        })
        .collect();
    lines.sort();
    lines.join("\n")
}

/// Puts pieces into a list: to those that are the same but for their number, or as a new entry.
pub(super) fn put_in(document: &mut DocumentMut, list: &str, table: Table) {
    let Some(all) = list_mut(document, list) else {
        return;
    };
    let plain = |table: &Table| {
        let mut table = table.clone();
        table.remove("count");
        entries(&table)
    };
    let number = |table: &Table| table.get("count").and_then(Item::as_integer);
    let same = plain(&table);
    let known = all.iter_mut().find(|known| plain(known) == same);
    if let Some(known) = known
        && let (Some(has), Some(more)) = (number(known), number(&table))
        && let Ok(all) = u32::try_from(has + more)
    {
        set_count(known, all);
        return;
    }
    all.push(table);
}
