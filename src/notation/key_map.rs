//! Typing the alphabet on an ASCII keyboard: what a key does to the text before the cursor.
//!
//! Pure: text before the cursor and a key in, an [`Edit`] out. A key that is a letter of
//! the alphabet stands for itself; a capital or a sign takes its X-SAMPA value as it is
//! typed (`grammar/key_map.tsv`); `_` and a key make a mark; `\` and `` ` `` go on with the
//! letter before them as X-SAMPA does; and a letter can be turned through the ring of its
//! relatives (`grammar/rings.tsv`).

use std::collections::BTreeMap;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::canonical_combining_class;

use super::converted::exactly;
use crate::inventory::{self, EntryKind, KEY_MAP, RINGS, X_SAMPA, X_SAMPA_FROM_IPA};

/// The key before the key of a mark.
pub const PREFIX: char = '_';

/// The tie bar over two letters.
const TIE: &str = "\u{361}";

/// A change just before the cursor: one step, which one undo takes back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// How many bytes before the cursor go.
    pub remove: usize,
    /// What comes in their place; the cursor stands after it.
    pub insert: String,
}

impl Edit {
    fn insert(text: impl Into<String>) -> Self {
        Self {
            remove: 0,
            insert: text.into(),
        }
    }

    /// The text before the cursor after the change.
    #[must_use]
    pub fn applied(&self, before: &str) -> String {
        let kept = before.len().saturating_sub(self.remove);
        let mut text = before.get(..kept).unwrap_or_default().to_owned();
        text.push_str(&self.insert);
        text
    }
}

/// What the keys stand for: the table, and before it the keys someone chose for themselves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeyMap {
    own: BTreeMap<char, String>,
}

impl KeyMap {
    /// Gives a key a text of one's own choice; without a text, its value in the table.
    pub fn set(&mut self, key: char, text: Option<&str>) {
        match text {
            Some(text) => self.own.insert(key, text.to_owned()),
            None => self.own.remove(&key),
        };
    }

    /// The keys of one's own choice.
    pub fn own(&self) -> impl Iterator<Item = (char, &str)> {
        self.own.iter().map(|(key, text)| (*key, text.as_str()))
    }

    /// What a key does after the text before the cursor; `None` where it stands for itself.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::notation::key_map::KeyMap;
    ///
    /// let keys = KeyMap::default();
    /// let mut text = String::new();
    /// for key in "'t_hINk`".chars() {
    ///     match keys.typed(&text, key) {
    ///         Some(edit) => text = edit.applied(&text),
    ///         None => text.push(key),
    ///     }
    /// }
    /// assert_eq!(text, "ˈtʰɪŋk`"); // a consonant takes no rhotic hook
    /// ```
    #[must_use]
    pub fn typed(&self, before: &str, key: char) -> Option<Edit> {
        if let Some(text) = self.own.get(&key) {
            return Some(Edit::insert(text.as_str()));
        }
        if let Some(head) = before.strip_suffix(PREFIX) {
            if ends_in_segment(head) {
                return self.marked(head, key);
            }
        }
        if matches!(key, '\\' | '`' | '|') {
            if let Some(edit) = continued(before, key) {
                return Some(edit);
            }
        }
        let (text, mark) = value(key)?;
        if !mark {
            return Some(Edit::insert(text));
        }
        let hook = key == '`' && !ends_in_vowel(before);
        (ends_in_segment(before) && !hook).then(|| attached(before, text))
    }

    /// What a key does after a segment and the prefix.
    fn marked(&self, head: &str, key: char) -> Option<Edit> {
        let prefix = PREFIX.len_utf8();
        if key == PREFIX {
            return Some(Edit {
                remove: prefix,
                insert: TIE.to_owned(),
            });
        }
        // Some letters are a letter, the prefix and a key: b_< is an implosive.
        if let Some((letter, code)) = last_code(head) {
            let whole = format!("{code}{PREFIX}{key}");
            if let Some((_, (ipa, false))) = exactly(X_SAMPA, &whole) {
                return Some(Edit {
                    remove: prefix + letter.len(),
                    insert: ipa.to_owned(),
                });
            }
        }
        if let Some(mark) = mark_of(key) {
            let mut edit = attached(head, mark);
            edit.remove += prefix;
            return Some(edit);
        }
        let letter = match value(key) {
            Some((text, false)) => text.to_owned(),
            None if is_letter(key) => key.to_string(),
            _ => return None,
        };
        let letter = self.own.get(&key).cloned().unwrap_or(letter);
        Some(Edit {
            remove: prefix,
            insert: format!("{TIE}{letter}"),
        })
    }
}

/// What a key of the table stands for, and whether that is a mark.
#[must_use]
pub fn value(key: char) -> Option<(&'static str, bool)> {
    let at = KEY_MAP.binary_search_by_key(&key, |(key, _)| *key).ok()?;
    KEY_MAP.get(at).map(|(_, value)| *value)
}

/// The keys of the table with what they stand for and whether that is a mark.
pub fn keys() -> impl Iterator<Item = (char, &'static str, bool)> {
    KEY_MAP
        .iter()
        .map(|(key, (text, mark))| (*key, *text, *mark))
}

/// The mark that the prefix and a key make.
fn mark_of(key: char) -> Option<&'static str> {
    mark_keys()
        .find(|(known, _)| *known == key)
        .map(|(_, mark)| mark)
}

/// The keys that make a mark after the prefix, with the mark.
pub fn mark_keys() -> impl Iterator<Item = (char, &'static str)> {
    X_SAMPA.iter().filter_map(|(code, (ipa, on_letter))| {
        let mut keys = code.strip_prefix(PREFIX)?.chars();
        let key = keys.next()?;
        // A code with a backslash after the key is alone with it: the key is enough.
        let alone = matches!(keys.as_str(), "" | "\\") && !matches!(key, '/' | '\\');
        let taken = keys.as_str() == "\\"
            && exactly(X_SAMPA, code.trim_end_matches('\\')).is_some();
        (*on_letter && !ipa.is_empty() && alone && !taken).then_some((key, *ipa))
    })
}

/// The letter before the cursor among its relatives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ring {
    /// The relatives, in the order of turning.
    pub letters: &'static [&'static str],
    /// Which of them it is.
    pub at: usize,
    /// How many bytes before the cursor it begins.
    pub back: usize,
    /// How many bytes it takes.
    length: usize,
}

/// The ring that the symbol before the cursor is in; its marks are passed over.
///
/// # Examples
///
/// ```
/// use apical::notation::key_map::{ring, turned};
///
/// assert_eq!(ring("[t̪").map(|ring| ring.letters[ring.at]), Some("t"));
/// assert_eq!(turned("[t̪", 1).map(|edit| edit.applied("[t̪")), Some("[θ̪".to_owned()));
/// assert_eq!(ring("["), None);
/// ```
#[must_use]
pub fn ring(before: &str) -> Option<Ring> {
    for (start, character) in before.char_indices().rev() {
        let mut buffer = [0; 4];
        let found = in_ring(character.encode_utf8(&mut buffer)).or_else(|| {
            let base = std::iter::once(character).nfd().next()?;
            (base != character).then_some(())?;
            in_ring(base.encode_utf8(&mut buffer))
        });
        if let Some((letters, at)) = found {
            return Some(Ring {
                letters,
                at,
                back: before.len() - start,
                length: character.len_utf8(),
            });
        }
        if !is_mark(character) {
            return None;
        }
    }
    None
}

fn in_ring(letter: &str) -> Option<(&'static [&'static str], usize)> {
    RINGS.iter().find_map(|ring| {
        let at = ring.iter().position(|known| *known == letter)?;
        Some((*ring, at))
    })
}

/// Turns the symbol before the cursor so many steps through its ring; its marks stay.
#[must_use]
pub fn turned(before: &str, steps: isize) -> Option<Edit> {
    let found = ring(before)?;
    let count = isize::try_from(found.letters.len()).ok()?;
    let at = (isize::try_from(found.at).ok()? + steps).rem_euclid(count);
    picked(before, usize::try_from(at).ok()?)
}

/// Puts a certain relative in place of the symbol before the cursor; its marks stay.
#[must_use]
pub fn picked(before: &str, at: usize) -> Option<Edit> {
    let found = ring(before)?;
    let letter = *found.letters.get(at)?;
    let start = before.len() - found.back;
    let old = before.get(start..start + found.length)?;
    let marks = before.get(start + found.length..)?;
    let mut insert = letter.to_owned();
    // A precomposed letter keeps the marks that were in it.
    if in_ring(old).is_none() {
        insert.extend(old.nfd().skip(1));
    }
    insert.push_str(marks);
    Some(Edit {
        remove: found.back,
        insert,
    })
}

/// Takes away the last mark of the symbol before the cursor; a letter without marks goes
/// whole.
///
/// # Examples
///
/// ```
/// use apical::notation::key_map::last_mark;
///
/// let left = |before: &str| last_mark(before).map(|edit| edit.applied(before));
/// assert_eq!(left("pʰ"), Some("p".to_owned()));
/// assert_eq!(left("\u{E3}"), Some("a".to_owned()));
/// assert_eq!(left("ç"), Some(String::new()));
/// assert_eq!(left(""), None);
/// ```
#[must_use]
pub fn last_mark(before: &str) -> Option<Edit> {
    let last = before.chars().next_back()?;
    let mut parts: Vec<char> = std::iter::once(last).nfd().collect();
    let mut buffer = [0; 4];
    if in_ring(last.encode_utf8(&mut buffer)).is_some() {
        parts.clear();
    } else {
        parts.pop();
    }
    Some(Edit {
        remove: last.len_utf8(),
        insert: parts.into_iter().collect(),
    })
}

/// What `\`, `` ` `` or `|` makes of the symbol before it.
fn continued(before: &str, key: char) -> Option<Edit> {
    let (letter, code) = last_code(before)?;
    let whole = format!("{code}{key}");
    let (_, (ipa, on_letter)) = exactly(X_SAMPA, &whole)?;
    let moves = on_letter && canonical(ipa);
    (!ipa.is_empty() && !moves).then(|| Edit {
        remove: letter.len(),
        insert: ipa.to_owned(),
    })
}

/// The symbol before the cursor and its X-SAMPA code; what has none is its own code, as it
/// may be the beginning of one.
fn last_code(before: &str) -> Option<(&str, &str)> {
    let (start, character) = before.char_indices().next_back()?;
    let letter = before.get(start..start + character.len_utf8())?;
    let nfd: String = letter.nfd().collect();
    let code = exactly(X_SAMPA_FROM_IPA, &nfd).map(|(_, code)| code);
    Some((letter, code.unwrap_or(letter)))
}

/// A mark put on the segment before the cursor: a combining one moves up to its letter,
/// before what stands raised behind it, as a font needs it.
fn attached(before: &str, mark: &str) -> Edit {
    let mut start = before.len();
    if canonical(mark) {
        for (at, character) in before.char_indices().rev() {
            if inventory::entry(character).kind != EntryKind::Modifier {
                break;
            }
            start = at;
        }
    }
    let raised = before.get(start..).unwrap_or_default();
    Edit {
        remove: raised.len(),
        insert: format!("{mark}{raised}"),
    }
}

/// Whether a mark combines with its letter.
fn canonical(mark: &str) -> bool {
    mark.chars()
        .next()
        .is_some_and(|character| canonical_combining_class(character) != 0)
}

fn is_letter(character: char) -> bool {
    matches!(
        inventory::entry(character).kind,
        EntryKind::Letter | EntryKind::Precomposed
    )
}

fn is_mark(character: char) -> bool {
    matches!(
        inventory::entry(character).kind,
        EntryKind::Mark | EntryKind::Modifier | EntryKind::Tie | EntryKind::Cedilla
    )
}

/// Whether a mark typed now would have a segment to sit on.
fn ends_in_segment(before: &str) -> bool {
    before
        .chars()
        .next_back()
        .is_some_and(|character| is_letter(character) || is_mark(character))
}

/// Whether the last letter is a vowel.
fn ends_in_vowel(before: &str) -> bool {
    let letter = before.chars().rev().find(|character| !is_mark(*character));
    letter.is_some_and(|letter| {
        let base = std::iter::once(letter).nfd().next().unwrap_or(letter);
        let mut buffer = [0; 4];
        let text: &str = base.encode_utf8(&mut buffer);
        inventory::symbols().iter().any(|symbol| {
            symbol.text == text && symbol.bundle.class == crate::feature::Class::Vowel
        })
    })
}
