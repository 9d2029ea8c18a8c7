//! Edit distance with unit costs.

/// A cheapest way from one row of signs to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edit {
    /// Signs changed, left out and put in.
    pub edits: usize,
    /// The columns of the longest of the cheapest alignments.
    pub columns: usize,
}

/// The edit distance of two rows, and the length of their longest cheapest alignment.
///
/// Cost: the product of the lengths in time, the second length in memory. Symmetric.
///
/// # Examples
///
/// ```
/// use apical::finding::measure::edit::{Edit, between};
///
/// let signs = |text: &str| text.chars().collect::<Vec<_>>();
/// let edit = between(&signs("skul"), &signs("ɛskul"));
/// assert_eq!(edit, Edit { edits: 1, columns: 5 });
/// assert_eq!(between::<char>(&[], &[]), Edit { edits: 0, columns: 0 });
/// ```
///
/// # Source
/// Levenshtein; the longest cheapest alignment as the norm: Heeringa 2004.
#[must_use]
pub fn between<T: PartialEq>(one: &[T], other: &[T]) -> Edit {
    // The least edits and, of equally many, the most columns.
    let better = |a: Edit, b: Edit| {
        let key = |it: &Edit| (it.edits, std::cmp::Reverse(it.columns));
        if key(&b) < key(&a) { b } else { a }
    };
    let step = |from: Edit, cost: usize| Edit {
        edits: from.edits + cost,
        columns: from.columns + 1,
    };
    let mut row: Vec<Edit> = (0..=other.len())
        .map(|at| Edit {
            edits: at,
            columns: at,
        })
        .collect();
    for (number, sign) in one.iter().enumerate() {
        let start = Edit {
            edits: number + 1,
            columns: number + 1,
        };
        let mut next = vec![start];
        let mut left = start;
        for (pair, matching) in row.windows(2).zip(other) {
            let [diagonal, up] = *pair else { continue };
            let both = step(diagonal, usize::from(sign != matching));
            left = better(better(both, step(up, 1)), step(left, 1));
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or(Edit {
        edits: 0,
        columns: 0,
    })
}
