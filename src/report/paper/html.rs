//! A paper as one HTML file: no script, nothing from elsewhere, for screen and paper.

use minijinja::value::{Serde, Value};
use minijinja::{Environment, UndefinedBehavior, context};

use serde::Serialize;

use super::{Block, Line, Paper, Run};

/// The page around the content.
const PAGE: &str = include_str!("page.html");

/// Writes the paper as one HTML file that stands alone.
///
/// Everything but our own pictures is escaped, and the page forbids itself scripts and
/// anything from elsewhere. Characters that no page may hold are shown as U+FFFD.
///
/// # Errors
/// Never on any content: only a fault in the template itself, in words.
///
/// # Examples
///
/// ```
/// use apical::report::paper::{Block, Paper, Run, html};
///
/// let line = vec![Run::Given("<b>bold</b>".to_owned())];
/// let paper = Paper {
///     title: "A page".to_owned(),
///     blocks: vec![Block::Paragraph { line }],
///     ..Paper::default()
/// };
/// let page = html(&paper).unwrap();
/// assert!(page.contains("&lt;b&gt;bold") && !page.contains("<b>"));
/// ```
pub fn html(paper: &Paper) -> Result<String, String> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    let written = environment.add_template("page.html", PAGE).and_then(|()| {
        let page = environment.get_template("page.html")?;
        page.render(context!(paper => Value::from(Serde(page_of(paper)))))
    });
    written.map_err(|error| error.to_string())
}

/// A paper as its template takes it: in sections, a heading each.
#[derive(Serialize)]
struct Page {
    title: String,
    under: Line,
    sections: Vec<Vec<Block>>,
    cautions: Vec<String>,
}

fn page_of(paper: &Paper) -> Page {
    let paper = shown(paper);
    let mut sections: Vec<Vec<Block>> = Vec::new();
    for block in paper.blocks {
        match sections.last_mut() {
            Some(section) if !matches!(block, Block::Heading { .. }) => {
                section.push(block);
            }
            _ => sections.push(vec![block]),
        }
    }
    Page {
        title: paper.title,
        under: paper.under,
        sections,
        cautions: paper.cautions,
    }
}

/// The paper with what no page may hold made visible.
fn shown(paper: &Paper) -> Paper {
    let mut paper = paper.clone();
    paper.title = fit(&paper.title);
    fit_line(&mut paper.under);
    for block in &mut paper.blocks {
        match block {
            Block::Heading { line, .. } | Block::Paragraph { line } => fit_line(line),
            Block::List { lines, .. } => lines.iter_mut().for_each(fit_line),
            Block::Table { rows, .. } => rows.iter_mut().flatten().for_each(fit_line),
            Block::Picture { svg, caption, .. } => {
                *svg = fit(svg);
                fit_line(caption);
            }
        }
    }
    paper
}

fn fit_line(line: &mut Line) {
    for run in line {
        let (Run::Text(text) | Run::Strong(text) | Run::Sound(text) | Run::Given(text)) =
            run;
        *text = fit(text);
    }
}

/// Without control characters and what Unicode will never give a meaning.
fn fit(text: &str) -> String {
    let fits = |it: char| {
        let code = u32::from(it);
        let never = code & 0xFFFE == 0xFFFE || (0xFDD0..=0xFDEF).contains(&code);
        it == '\n' || it == '\t' || !it.is_control() && !never
    };
    text.chars()
        .map(|it| if fits(it) { it } else { '\u{FFFD}' })
        .collect()
}
