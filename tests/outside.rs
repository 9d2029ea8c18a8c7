//! Outside data: the full sets beside the project, or the samples in the repository.

use std::path::PathBuf;

/// A table with named columns.
pub(crate) struct Table {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One row of it.
pub(crate) struct Row<'t> {
    header: &'t [String],
    cells: &'t [String],
}

impl Row<'_> {
    /// The cell of a column; empty where the row is short.
    pub(crate) fn cell(&self, column: &str) -> &str {
        let at = self
            .header
            .iter()
            .position(|name| name == column)
            .expect(column);
        self.cells.get(at).map_or("", String::as_str)
    }
}

impl Table {
    /// Reads `NAME` under the outside data, or else the sample of it.
    pub(crate) fn read(name: &str) -> Self {
        let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
        let outside = root.join("../shared/data").join(name);
        let inside = root.join("tests/data").join(name);
        let text = std::fs::read_to_string(outside)
            .or_else(|_| std::fs::read_to_string(inside))
            .expect("either the outside data or the sample is there");
        let mut lines = text.split('\n').filter(|line| !line.is_empty());
        let cells = |line: &str| line.split('\t').map(str::to_owned).collect::<Vec<_>>();
        let header = cells(lines.next().expect("a header"));
        Self {
            header,
            rows: lines.map(cells).collect(),
        }
    }

    /// Its rows.
    pub(crate) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row {
            header: &self.header,
            cells,
        })
    }
}

/// The string that a cell with `\u{XXXX}` escapes stands for.
pub(crate) fn unescape(escaped: &str) -> String {
    let mut out = String::new();
    let mut rest = escaped;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        if let Some(after) = rest.strip_prefix('\\') {
            out.push('\\');
            rest = after;
        } else if let Some((code, after)) = rest
            .strip_prefix("u{")
            .and_then(|rest| rest.split_once('}'))
        {
            out.push(
                u32::from_str_radix(code, 16)
                    .ok()
                    .and_then(char::from_u32)
                    .expect("a code point"),
            );
            rest = after;
        }
    }
    out + rest
}

/// A share counted over rows, with what went wrong.
#[derive(Default)]
pub(crate) struct Share {
    good: usize,
    all: usize,
    misses: Vec<String>,
}

impl Share {
    /// Counts one.
    pub(crate) fn count(&mut self, good: bool, miss: impl FnOnce() -> String) {
        self.all += 1;
        if good {
            self.good += 1;
        } else {
            self.misses.push(miss());
        }
    }

    /// Fails unless at least this many in a hundred are good.
    pub(crate) fn at_least(&self, percent: f64, what: &str) {
        assert!(self.all > 0, "{what}: nothing was counted");
        let share = 100.0 * self.good as f64 / self.all as f64;
        // A share of a small sample is off by a few rows: three are allowed there.
        let percent = if self.all < 300 {
            percent - 300.0 / self.all as f64
        } else {
            percent
        };
        println!("{what}: {}/{} = {share:.2} %", self.good, self.all);
        let shown = &self.misses[..self.misses.len().min(20)];
        assert!(
            share >= percent,
            "{what}: {share:.2} % < {percent} %: {shown:#?}"
        );
    }
}
