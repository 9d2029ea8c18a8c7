//! The commands of the desk: what there is, what it is for, how it is completed.

mod table;

use clap::CommandFactory;
use rustyline::completion::Pair;

use super::words::words;
use crate::accent::Accent;
use crate::app::arguments::Arguments;
use crate::diagnostic::Code;
use crate::record::CUES;
use crate::report::text::{heading, push_hanging};
use table::{GROUPS, Group, OWN, Takes, WITH_FILES};

/// Commands that take the code of a client.
const OF_CODE: &[&str] = &["with", "client", "progress", "export", "forget"];

/// Whether the code of a client may be asked for.
pub(super) fn completes_code(line: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or_default();
    OF_CODE.contains(&first.trim_start_matches(':'))
}

/// Columns that are written into by hand.
const EDITED: &[&str] = &[
    "word",
    "target",
    "accepted",
    "production",
    "recording",
    "note",
];

/// Whether the name of a file is being typed after a command that takes one, or after an
/// option for one.
pub(super) fn completes_path(line: &str, position: usize) -> bool {
    let before = line.get(..position).unwrap_or(line);
    let cut = words(before, takes_path);
    let ended = before.ends_with(char::is_whitespace);
    let last = if ended {
        cut.last()
    } else {
        cut.len().checked_sub(2).and_then(|at| cut.get(at))
    };
    let Some(first) = cut.first() else {
        return false;
    };
    let begun = cut.len() > 1 || ended;
    begun
        && (takes_path(&first.text)
            || last.is_some_and(|last| {
                ["--file", "--to", "--caseload"].contains(&last.text.as_str())
            })
            || ["keep", "import", "analyze"].contains(&first.text.as_str())
                && last.is_some_and(|last| last.text == first.text))
}

/// Whether a command of the desk takes the name of a file.
pub(super) fn takes_path(name: &str) -> bool {
    let name = name.trim_start_matches(':');
    let known = OWN.iter().find(|own| own.name == name);
    known.is_some_and(|own| own.takes == Takes::Path) || WITH_FILES.contains(&name)
}

/// Whether a command of the program is about the caseload.
pub(super) fn is_of_record(name: &str) -> bool {
    let known = GROUPS.iter().find(|(known, _)| *known == name);
    known.is_some_and(|(_, group)| matches!(group, Group::Client | Group::Record))
}

/// Whether a command of the desk has this name.
pub(super) fn is_own(name: &str) -> bool {
    OWN.iter().any(|own| own.name == name)
}

/// Whether a command of the program has this name.
pub(super) fn is_shared(name: &str) -> bool {
    Arguments::command().find_subcommand(name).is_some()
}

/// Every name, in the order of the alphabet.
pub(super) fn names() -> Vec<String> {
    let program = Arguments::command();
    let mut names: Vec<String> = program
        .get_subcommands()
        .map(|command| command.get_name().to_owned())
        .chain(OWN.iter().map(|own| own.name.to_owned()))
        .collect();
    names.sort();
    names.dedup();
    names
}

/// The names nearest to one that is none, for the message.
pub(super) fn near(name: &str) -> Vec<String> {
    let first = name.chars().next();
    let mut near: Vec<(usize, String)> = names()
        .into_iter()
        .map(|known| (shared(name, &known), known))
        .filter(|(shared, known)| *shared > 1 && known.chars().next() == first)
        .collect();
    near.sort_by(|one, other| other.0.cmp(&one.0).then_with(|| one.1.cmp(&other.1)));
    near.into_iter().take(3).map(|(_, known)| known).collect()
}

/// How many characters of two names agree, each used once, in any order.
fn shared(one: &str, other: &str) -> usize {
    let mut left: Vec<char> = other.chars().collect();
    one.chars()
        .filter(|character| {
            let at = left.iter().position(|known| known == character);
            at.map(|at| left.swap_remove(at)).is_some()
        })
        .count()
}

/// The list of all commands, by what the coach is doing, one line each.
pub(super) fn overview(columns: usize, in_session: bool) -> String {
    const NAME: usize = 25;
    let program = Arguments::command();
    let mut page = String::new();
    let wanted = |group: &Group| !in_session || group.is_of_session();
    for group in Group::ALL.into_iter().filter(wanted) {
        let mut rows: Vec<(String, String)> = Vec::new();
        for command in program.get_subcommands() {
            let name = command.get_name();
            let known = GROUPS.iter().find(|(known, _)| *known == name);
            if known.map_or(Group::More, |(_, group)| *group) == group {
                let about = command.get_about().map(ToString::to_string);
                rows.push((name.to_owned(), about.unwrap_or_default()));
            }
        }
        for own in OWN.iter().filter(|own| own.group == group) {
            let name = format!("{} {}", own.name, own.usage);
            rows.push((name.trim_end().to_owned(), own.says.to_owned()));
        }
        if rows.is_empty() {
            continue;
        }
        if !page.is_empty() {
            page.push('\n');
        }
        page.push_str(&heading(group.title()));
        page.push('\n');
        let wide = if columns < 80 { 16 } else { NAME };
        for (name, says) in rows {
            push_hanging(
                &mut page,
                2,
                &name,
                anstyle::Style::new(),
                wide,
                &says,
                columns,
            );
        }
    }
    if in_session {
        page.push_str("\n:help all lists every other command too, :keys the keys.\n");
        return page;
    }
    page.push_str(
        "\nA transcription in brackets, [kʰæt] or /kæt/, is read and described. Where a target \
         is set,\nthe whole line is what was heard, and a command begins with a colon: :help\n",
    );
    page
}

/// One command in full; `None` where there is none of this name.
pub(super) fn full(name: &str) -> Option<String> {
    if let Some(own) = OWN.iter().find(|own| own.name == name) {
        return Some(format!("{} {}\n  {}\n", own.name, own.usage, own.says));
    }
    let mut program = Arguments::command();
    let command = program.find_subcommand_mut(name)?;
    Some(command.render_help().ansi().to_string())
}

/// What could stand at the cursor: the start of the word, and the candidates.
pub(super) fn completions(
    line: &str,
    position: usize,
    codes: &[String],
) -> (usize, Vec<Pair>) {
    let before = line.get(..position).unwrap_or(line);
    let start = before
        .char_indices()
        .rev()
        .find(|(_, character)| character.is_whitespace())
        .map_or(0, |(at, character)| at + character.len_utf8());
    let word = before.get(start..).unwrap_or_default();
    let cut = words(before.get(..start).unwrap_or_default(), takes_path);
    let first = cut
        .first()
        .map(|word| word.text.trim_start_matches(':').to_owned());
    let colon = if cut.is_empty() && word.starts_with(':') {
        ":"
    } else {
        ""
    };
    let word = word.strip_prefix(colon).unwrap_or(word);
    let candidates: Vec<String> = match first.as_deref() {
        None => names(),
        Some("help") => std::iter::once("all".to_owned()).chain(names()).collect(),
        Some("cue") => CUES.iter().map(|cue| (*cue).to_owned()).collect(),
        Some("draw") => ["initial", "medial", "final"].map(str::to_owned).to_vec(),
        Some(name) if OF_CODE.contains(&name) && !word.starts_with('-') => codes
            .iter()
            .cloned()
            .chain((name == "with").then(|| "nobody".to_owned()))
            .collect(),
        Some("edit") => EDITED.iter().map(|field| (*field).to_owned()).collect(),
        Some("accent") => Accent::names().map(str::to_owned).collect(),
        Some("keys") => vec!["emacs".to_owned(), "vi".to_owned()],
        Some("mouth") => vec!["characters".to_owned()],
        Some("explain") => Code::ALL
            .iter()
            .map(|code| code.name().to_owned())
            .collect(),
        Some(name) => options(name),
    };
    let pairs = candidates
        .into_iter()
        .filter(|candidate| candidate.starts_with(word))
        .map(|candidate| Pair {
            display: candidate.clone(),
            replacement: format!("{colon}{candidate}"),
        })
        .collect();
    (start, pairs)
}

/// The options of a command of the program.
fn options(name: &str) -> Vec<String> {
    let program = Arguments::command();
    let Some(command) = program.find_subcommand(name) else {
        return Vec::new();
    };
    command
        .get_opts()
        .filter_map(|option| option.get_long())
        .map(|long| format!("--{long}"))
        .collect()
}
