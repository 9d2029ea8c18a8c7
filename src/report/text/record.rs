//! Drawing the record: clients, sessions, how they go on.

use anstyle::Style;

use super::line::visible;
use super::{
    counted, heading, padded, palette, push_hanging, push_line, styled, wrapped,
};
use crate::finding::progress::{Comparison, Count, Part, Way};
use crate::record::{Client, Hat, Seen, Session, Wording};
use crate::text::width;

/// Targets and patterns shown of each kind.
const SHOWN: usize = 12;

/// Sessions drawn in a row; of more, the last ones.
const IN_A_ROW: usize = 24;

/// The caution that belongs under figures about a client.
fn caution(hat: Hat, columns: usize) -> String {
    let words = hat.wording().caution;
    let mut page = String::new();
    for line in wrapped(words, columns) {
        push_line(&mut page, &styled(palette::FAINT, &line));
    }
    page
}

fn day(time: &str) -> &str {
    time.split('T').next().unwrap_or(time)
}

/// Every client, a line each.
#[must_use]
pub fn clients(rows: &[(Client, Seen)], columns: usize) -> String {
    if rows.is_empty() {
        return "No client yet: `apical client CODE` opens a record.\n".to_owned();
    }
    let widest = |of: &dyn Fn(&Client) -> usize| rows.iter().map(|(it, _)| of(it)).max();
    let code = widest(&|it| width(&it.code)).unwrap_or(0).max(4);
    let language = widest(&|it| width(&it.first_language)).unwrap_or(0).max(14);
    let mut page = heading(&format!(
        "{}  {}  accent  work      sessions",
        padded("code", code),
        padded("first language", language)
    ));
    page.push('\n');
    for (client, seen) in rows {
        let last = seen.last.as_deref();
        let last = last.map(|it| format!(", last {}", day(it)));
        let last = last.unwrap_or_default();
        let line = format!(
            "{}  {}  {}  {}  {}{last}",
            padded(&client.code, code),
            padded(&client.first_language, language),
            padded(&client.accent, 6),
            padded(client.hat.name(), 8),
            seen.sessions,
        );
        push_line(&mut page, &line);
    }
    let _ = columns;
    page
}

/// One client.
#[must_use]
pub fn client(
    client: &Client,
    sessions: &[Session],
    is_new: bool,
    columns: usize,
) -> String {
    let mut page = heading(&client.code);
    page.push_str(if is_new { "  a new record\n" } else { "\n" });
    let consent = |given: bool| if given { "agreed" } else { "not agreed" };
    let unknown = |text: &str| {
        if text.is_empty() {
            "not noted".to_owned()
        } else {
            text.to_owned()
        }
    };
    for (name, value) in [
        ("first language", unknown(&client.first_language)),
        ("target accent", client.accent.clone()),
        ("work", client.hat.wording().work.to_owned()),
        ("opened", day(&client.opened).to_owned()),
        ("export", consent(client.consent.export).to_owned()),
        ("recordings", consent(client.consent.recording).to_owned()),
        ("note", unknown(&client.note)),
    ] {
        let mut lines = wrapped(&value, columns.saturating_sub(18)).into_iter();
        let first = lines.next().unwrap_or_default();
        push_line(&mut page, &format!("  {}  {first}", padded(name, 14)));
        for line in lines {
            push_line(&mut page, &format!("  {}  {line}", padded("", 14)));
        }
    }
    for session in sessions {
        push_line(
            &mut page,
            &format!(
                "  {}  {}  {}",
                day(&session.began),
                padded(session.kind.name(), 5),
                session.list
            ),
        );
    }
    page
}

/// That a sheet was put into the record.
#[must_use]
pub fn kept(client: &str, session: &str, items: usize, left_out: &[String]) -> String {
    let items = counted(items, "item", "items");
    let mut page = format!("Kept for {client}: {items} as session \"{session}\".\n");
    if !left_out.is_empty() {
        page.push_str("Not kept:\n");
        for row in left_out {
            push_line(&mut page, &format!("  {row}"));
        }
    }
    page
}

/// What looking the caseload through found.
#[must_use]
pub fn verified(path: &str, faults: &[String]) -> String {
    if faults.is_empty() {
        return format!("{path}: sound.\n");
    }
    let mut page = format!(
        "{path}: {}\n",
        styled(palette::ERROR, &counted(faults.len(), "fault", "faults"))
    );
    for fault in faults {
        push_line(&mut page, &format!("  {fault}"));
    }
    page
}

/// That a caseload was encrypted, or is no longer, and what that leaves to do.
#[must_use]
pub fn sealed(
    path: &str,
    encrypted: bool,
    plain: &[String],
    older: &[String],
    columns: usize,
) -> String {
    let mut page = String::new();
    let mut told = |words: &str| {
        push_hanging(&mut page, 0, "", Style::new(), 0, words, columns);
    };
    if encrypted {
        told(&format!(
            "{path}: encrypted. The passphrase is kept nowhere: without it nobody opens \
             the caseload again. Programs that have it open must be started anew."
        ));
    } else {
        told(&format!(
            "{path}: no longer encrypted. Whoever gets at the file can read it."
        ));
    }
    if !plain.is_empty() {
        told(&format!(
            "Not encrypted, and about the same clients: {}. Remove what you do not need.",
            plain.join(", ")
        ));
    }
    if !older.is_empty() {
        told(&format!(
            "Opened by the passphrase of before alone: {}.",
            older.join(", ")
        ));
    }
    told(
        "The file that was there before is overwritten; a disk may still hold parts of it \
         elsewhere, as solid-state disks do. Backups and exports that you made yourself are \
         as they were.",
    );
    page
}

/// How a client goes on.
#[must_use]
pub fn progress(client: &Client, way: &Way, columns: usize) -> String {
    let mut page = heading(&client.code);
    let language = match client.first_language.as_str() {
        "" => String::new(),
        language => format!(", first language {language}"),
    };
    push_line(
        &mut page,
        &format!(
            "  {}, towards {}{language}",
            client.hat.wording().work,
            client.accent
        ),
    );
    let wording = client.hat.wording();
    part(
        &mut page,
        wording.practised,
        &way.practised,
        wording,
        columns,
    );
    part(&mut page, wording.probes, &way.probes, wording, columns);
    if !way.drills.is_empty() {
        page.push('\n');
        page.push_str(&heading(wording.drills));
        page.push('\n');
        for (session, drills) in &way.drills {
            for drill in drills {
                push_line(
                    &mut page,
                    &format!(
                        "  {}  {}  {} {}; with or without a cue {}",
                        day(&session.began),
                        drill.target,
                        wording.alone,
                        share(drill.alone),
                        share(drill.with_cue)
                    ),
                );
            }
        }
    }
    page.push('\n');
    page.push_str(&caution(client.hat, columns));
    page
}

fn part(page: &mut String, name: &str, part: &Part, wording: &Wording, columns: usize) {
    if part.sessions.is_empty() {
        return;
    }
    page.push('\n');
    push_line(page, &heading(name));
    let first = part.sessions.first().map_or("", |it| day(&it.began));
    let last = part.sessions.last().map_or("", |it| day(&it.began));
    let sessions = counted(part.sessions.len(), wording.session, wording.sessions);
    let span = if first == last {
        format!("{sessions}, {first}")
    } else {
        format!("{sessions}, {first} to {last}")
    };
    let what = format!(
        "{span}; first attempts, {}: how much was {}",
        wording.alone, wording.right
    );
    let mut told = |words: &str| {
        push_hanging(page, 2, "", Style::new(), 0, words, columns);
    };
    told(&what);
    if part.not_counted > 0 {
        let items = counted(part.not_counted, "item", "items");
        told(&format!(
            "left out: {items} (nothing said, skipped or unreadable)"
        ));
    }
    if part.practised_before > 0 {
        let items = counted(part.practised_before, "item", "items");
        told(&format!(
            "left out: {items} whose word had been practised before"
        ));
    }
    if part.words.whole_cued().of > 0 {
        told(&format!(
            "{}: each word's first attempt after a cue, counted apart",
            wording.with_cue
        ));
    }
    let groups = [
        ("", core::slice::from_ref(&part.words)),
        ("target sounds, least secure first", part.targets.as_slice()),
        (
            "patterns: how often each stayed away, of its chances",
            part.patterns.as_slice(),
        ),
    ];
    for (title, series) in groups {
        let rows = series.iter().take(SHOWN).map(|it| {
            let mut figures = share(it.whole());
            if let Some(latest) = it.latest() {
                figures = format!("last {}, all {figures}", share(latest));
            }
            let cued = it.whole_cued();
            if cued.of > 0 {
                figures = format!("{figures}; {} {}", wording.with_cue, share(cued));
            }
            let trend = trend(&it.counts);
            let figures = [trend.as_str(), &figures].join("  ");
            (it.target.as_str(), figures.trim().to_owned())
        });
        table(page, title, &rows.collect::<Vec<_>>(), columns);
    }
    for comparison in part.comparisons.iter().take(SHOWN) {
        push_comparison(page, part, comparison, wording, columns);
    }
    let lists = part.comparisons.iter();
    let hidden = lists
        .flat_map(|it| [it.targets.len(), it.patterns.len()])
        .chain([part.targets.len(), part.patterns.len()])
        .map(|rows| rows.saturating_sub(SHOWN))
        .sum::<usize>();
    if hidden > 0 {
        push_line(
            page,
            &format!("  and {hidden} more: `--format json` has all"),
        );
    }
}

/// Before and after on the words of one list.
fn push_comparison(
    page: &mut String,
    part: &Part,
    comparison: &Comparison,
    wording: &Wording,
    columns: usize,
) {
    let [before, after] = comparison.sessions.map(|number| {
        let session = part.sessions.get(number);
        session.map_or(("", ""), |it| (it.list.as_str(), day(&it.began)))
    });
    let words = counted(comparison.items, "word", "words");
    let [one, other] = comparison.of;
    let whole = comparison.items == one && comparison.items == other;
    let title = match (comparison.same_list, whole) {
        (true, true) => format!("before and after on the same list, {}", before.0),
        (true, false) => format!(
            "before and after on the words that both sessions on {} have",
            before.0
        ),
        (false, _) => format!(
            "no list was said twice: the words that {} and {} have in common",
            before.0, after.0
        ),
    };
    for line in wrapped(&visible(&title), columns.saturating_sub(2)) {
        push_line(page, &format!("  {}", styled(palette::FAINT, &line)));
    }
    let of = if whole {
        String::new()
    } else {
        format!(" of {one} and {other}")
    };
    let span = format!("{words}{of}, {} and {}", before.1, after.1);
    push_hanging(page, 2, "", Style::new(), 0, &span, columns);
    let pair =
        |[before, after]: [Count; 2]| format!("{} → {}", share(before), share(after));
    let whole_words = format!(
        "{}; {} {} only before, {} only after",
        pair(comparison.words),
        comparison.lost,
        wording.right,
        comparison.gained
    );
    let mut rows = vec![("whole words", whole_words)];
    let changes = comparison.targets.iter().take(SHOWN);
    let changes = changes.chain(comparison.patterns.iter().take(SHOWN));
    rows.extend(changes.map(|it| (it.target.as_str(), pair(it.counts))));
    table(page, "", &rows, columns);
}

/// Rows with a name and figures; a long name has a line of its own where the screen is
/// narrow.
fn table(page: &mut String, title: &str, rows: &[(&str, String)], columns: usize) {
    if rows.is_empty() {
        return;
    }
    if !title.is_empty() {
        push_line(page, &format!("  {}", styled(palette::FAINT, title)));
    }
    let widest = rows.iter().map(|(name, _)| width(name)).max().unwrap_or(0);
    let beside = widest <= columns / 3;
    for (name, figures) in rows {
        if beside {
            let style = Style::new();
            push_hanging(page, 2, name, style, widest + 2, figures, columns);
        } else {
            push_line(page, &format!("  {name}"));
            push_hanging(page, 6, "", Style::new(), 0, figures, columns);
        }
    }
}

/// "7/12 (58 %)".
fn share(count: Count) -> String {
    count.percent().map_or_else(
        || "none".to_owned(),
        |percent| format!("{}/{} ({percent:.0} %)", count.right, count.of),
    )
}

/// A column a session, as high as the share; a dot where it did not come up. The heights
/// are eighths: an empty column is up to 1/8.
fn trend(counts: &[Count]) -> String {
    const HEIGHTS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let last = counts.len().saturating_sub(IN_A_ROW);
    counts
        .iter()
        .skip(last)
        .map(|count| {
            let eighths = (count.right * 7).checked_div(count.of);
            eighths
                .and_then(|it| HEIGHTS.get(it as usize))
                .copied()
                .unwrap_or('·')
        })
        .collect()
}
