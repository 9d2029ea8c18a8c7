//! A paper as Markdown: pictures as what they show, in words.

use super::plain::{in_one_line, visible, with_ascii};
use super::{Block, Line, Paper, Run};

/// Writes the paper as Markdown (`CommonMark`, with the tables that most readers know).
///
/// What a person typed cannot become markup. Beside IPA stands X-SAMPA, for record systems
/// that cannot hold IPA.
///
/// # Examples
///
/// ```
/// use apical::report::paper::{Block, Paper, Run, markdown};
///
/// let line = vec![Run::Given("*not* <b>".to_owned()), Run::Sound("θ".to_owned())];
/// let paper = Paper {
///     title: "A page".to_owned(),
///     blocks: vec![Block::Paragraph { line }],
///     ..Paper::default()
/// };
/// assert_eq!(markdown(&paper), "# A page\n\n\\*not\\* \\<b\\>θ (T)\n");
/// ```
#[must_use]
pub fn markdown(paper: &Paper) -> String {
    let mut page = format!("# {}\n", escaped(&paper.title));
    if !paper.under.is_empty() {
        push(&mut page, &written(&paper.under));
    }
    for block in &paper.blocks {
        match block {
            Block::Heading { level, line } => {
                let marks = "#".repeat(usize::from(*level));
                push(&mut page, &format!("{marks} {}", written(line)));
            }
            Block::Paragraph { line } => push(&mut page, &written(line)),
            Block::List { lines, .. } => {
                let lines: Vec<String> = lines
                    .iter()
                    .map(|line| format!("- {}", written(line)))
                    .collect();
                push(&mut page, &lines.join("\n"));
            }
            Block::Table {
                caption,
                head,
                rows,
            } => {
                push(&mut page, &format!("**{}**", escaped(caption)));
                let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
                let mut lines = vec![
                    row(head.iter().map(|it| escaped(it)).collect()),
                    row(head.iter().map(|_| "---".to_owned()).collect()),
                ];
                let rows = rows.iter();
                lines.extend(rows.map(|it| row(it.iter().map(written).collect())));
                push(&mut page, &lines.join("\n"));
            }
            Block::Picture { caption, words, .. } => {
                let caption = written(caption);
                let words = escaped(words);
                push(&mut page, &format!("> Picture: {caption} {words}"));
            }
        }
    }
    if !paper.cautions.is_empty() {
        push(&mut page, "---");
        for caution in &paper.cautions {
            push(&mut page, &escaped(caution));
        }
    }
    page
}

fn push(page: &mut String, block: &str) {
    page.push('\n');
    page.push_str(block);
    page.push('\n');
}

fn written(line: &Line) -> String {
    line.iter()
        .map(|run| match run {
            Run::Text(text) => escaped(text),
            Run::Given(text) => begun(&escaped(text)),
            Run::Strong(text) => {
                // Blanks at its ends would keep the marks from being read.
                let inner = text.trim();
                let (before, after) = text.split_once(inner).unwrap_or(("", ""));
                format!("{before}**{}**{after}", escaped(inner))
            }
            Run::Sound(text) => escaped(&with_ascii(text)),
        })
        .collect()
}

/// What a person typed where a line may begin with it: no list, whatever it begins with.
fn begun(text: &str) -> String {
    let marks = text.trim_start();
    let number = marks.trim_start_matches(|it: char| it.is_ascii_digit());
    let (before, after) = if marks.starts_with(['-', '+']) {
        ("", marks)
    } else if number.len() < marks.len() && number.starts_with(['.', ')']) {
        (marks.strip_suffix(number).unwrap_or(""), number)
    } else {
        return text.to_owned();
    };
    format!("{before}\\{after}")
}

/// Text that stays text: in one line, with a backslash before what could be markup, and
/// before what many readers take for an address and make into a link.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in in_one_line(&visible(text)).chars() {
        if "\\`*_{}[]<>#|~&$^=".contains(character) {
            escaped.push('\\');
        }
        escaped.push(character);
    }
    escaped
        .replace("://", "\\://")
        .replace("www.", "www\\.")
        .replace("WWW.", "WWW\\.")
}
