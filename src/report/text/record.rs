//! Drawing the record: clients, sessions, how they go on.

use super::{counted, heading, padded, palette, push_line, styled, wrapped};
use crate::finding::progress::{Count, Part, Series, Way};
use crate::record::{Client, Hat, Session, Wording};
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
pub fn clients(rows: &[(Client, Vec<Session>)], columns: usize) -> String {
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
    for (client, sessions) in rows {
        let last = sessions
            .last()
            .map(|it| format!(", last {}", day(&it.began)))
            .unwrap_or_default();
        let line = format!(
            "{}  {}  {}  {}  {}{last}",
            padded(&client.code, code),
            padded(&client.first_language, language),
            padded(&client.accent, 6),
            padded(client.hat.name(), 8),
            sessions.len(),
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
    page.push_str(&heading(name));
    let first = part.sessions.first().map_or("", |it| day(&it.began));
    let last = part.sessions.last().map_or("", |it| day(&it.began));
    let sessions = counted(part.sessions.len(), wording.session, wording.sessions);
    let span = if first == last {
        format!("{sessions}, {first}")
    } else {
        format!("{sessions}, {first} to {last}")
    };
    push_line(page, &format!("  {span}; how much was {}", wording.right));
    if part.not_counted > 0 {
        let items = counted(part.not_counted, "item", "items");
        push_line(
            page,
            &format!("  left out: {items} (nothing said, skipped or unreadable)"),
        );
    }
    let shown = |series: &[Series]| -> Vec<Series> {
        series.iter().take(SHOWN).cloned().collect()
    };
    let groups = [
        ("", vec![part.words.clone()]),
        ("target sounds, least secure first", shown(&part.targets)),
        (
            "patterns: how often each stayed away, of its chances",
            shown(&part.patterns),
        ),
    ];
    for (title, series) in groups {
        if series.is_empty() {
            continue;
        }
        if !title.is_empty() {
            push_line(page, &format!("  {}", styled(palette::FAINT, title)));
        }
        let widest = series.iter().map(|it| width(&it.target)).max().unwrap_or(0);
        // A long name has a line of its own where the screen is narrow.
        let room = columns.saturating_sub(48).max(10);
        for it in &series {
            let trend = trend(&it.counts);
            let figures = match it.ends() {
                Some([before, after]) => {
                    format!("{} → {}", share(before), share(after))
                }
                None => share(it.whole()),
            };
            if widest <= room {
                let name = padded(&it.target, widest);
                push_line(page, &format!("  {name}  {trend}  {figures}"));
            } else {
                push_line(page, &format!("  {}", it.target));
                push_line(page, &format!("      {trend}  {figures}"));
            }
        }
    }
    let hidden = part.targets.len().saturating_sub(SHOWN)
        + part.patterns.len().saturating_sub(SHOWN);
    if hidden > 0 {
        push_line(
            page,
            &format!("  and {hidden} more: `--format json` has all"),
        );
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
