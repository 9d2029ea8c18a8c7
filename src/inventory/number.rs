//! Numbers out of a table, read while the crate is compiled.

/// The number in a table's row of that name, in the column counted from 0.
///
/// The table is tab-separated text whose lines end in a newline, the name in its first cell,
/// the number not in its last. A missing row, a missing cell or a cell that is no whole number
/// stops the compiler.
#[allow(
    clippy::indexing_slicing,
    reason = "runs only in the compiler: a fault there is a message, not a crash"
)]
pub(crate) const fn number(table: &[u8], name: &str, column: usize) -> i32 {
    let name = name.as_bytes();
    let mut at = 0;
    while at < table.len() {
        let mut same = 0;
        while same < name.len() && table[at + same] == name[same] {
            same += 1;
        }
        if same == name.len() && table[at + same] == b'\t' {
            let mut cell = 0;
            while cell < column {
                while table[at] != b'\t' {
                    at += 1;
                }
                at += 1;
                cell += 1;
            }
            let negative = table[at] == b'-';
            if negative {
                at += 1;
            }
            let mut value = 0;
            while table[at] != b'\t' {
                assert!(
                    table[at].is_ascii_digit(),
                    "a constant is not a whole number"
                );
                value = value * 10 + (table[at] - b'0') as i32;
                at += 1;
            }
            return if negative { -value } else { value };
        }
        while at < table.len() && table[at] != b'\n' {
            at += 1;
        }
        at += 1;
    }
    panic!("the table lacks a number of this name")
}
