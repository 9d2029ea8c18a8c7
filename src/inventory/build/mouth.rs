//! The mouth in numbers: `mouth/outlines.tsv`, `mouth/places.tsv`, `mouth/settings.tsv`.

use std::collections::BTreeMap;
use std::path::Path;

use crate::feature::Place;
use crate::{Row, line, read, sourced};

/// Writes the statics of the mouth to `out` and what is wrong with the tables to `faults`.
pub fn generate(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    let folder = grammar.join("mouth");
    line(
        out,
        "/// The mouth in numbers.\n\
         #[cfg_attr(not(feature = \"pictures\"), allow(dead_code, reason = \"some outlines are only drawn\"))]\n\
         pub mod mouth {\n    use super::{MouthOrgan, MouthPlace};",
    );
    settings(&folder, out, faults);
    outlines(&folder, out, faults);
    places(&folder, out, faults);
    line(out, "}");
}

/// A number of a cell; a fault where it is none.
fn number(row: &Row, column: &str, faults: &mut Vec<String>) -> f64 {
    let cell = row.cell(column);
    match cell.parse::<f64>() {
        Ok(value) if value.is_finite() => value,
        _ => {
            faults.push(format!("{}: {column} `{cell}` is no number", row.place));
            0.0
        }
    }
}

/// The same where the cell may be empty.
fn perhaps(row: &Row, column: &str, faults: &mut Vec<String>) -> f64 {
    if row.cell(column).is_empty() {
        0.0
    } else {
        number(row, column, faults)
    }
}

fn settings(folder: &Path, out: &mut String, faults: &mut Vec<String>) {
    let columns = ["name", "value", "unit", "reason", "source"];
    for row in &read(&folder.join("settings.tsv"), &columns, faults).rows {
        sourced(row, faults);
        if row.cell("reason").is_empty() {
            faults.push(format!("{}: no reason", row.place));
        }
        let value = number(row, "value", faults);
        let name: String = row
            .cell("name")
            .chars()
            .map(|c| c.to_ascii_uppercase())
            .collect();
        line(out, &format!("    pub const {name}: f64 = {value:?};"));
    }
}

fn outlines(folder: &Path, out: &mut String, faults: &mut Vec<String>) {
    let columns = ["outline", "x", "y", "source"];
    let mut all: BTreeMap<String, Vec<(f64, f64)>> = BTreeMap::new();
    for row in &read(&folder.join("outlines.tsv"), &columns, faults).rows {
        sourced(row, faults);
        let point = (number(row, "x", faults), number(row, "y", faults));
        let name: String = row
            .cell("outline")
            .chars()
            .map(|c| c.to_ascii_uppercase())
            .collect();
        all.entry(name).or_default().push(point);
    }
    for (name, points) in &all {
        let count = points.len();
        line(
            out,
            &format!("    pub const {name}: [(f64, f64); {count}] = {points:?};"),
        );
    }
}

fn places(folder: &Path, out: &mut String, faults: &mut Vec<String>) {
    let columns = [
        "place",
        "organ",
        "anchor_x",
        "anchor_y",
        "along_velum",
        "normal_x",
        "normal_y",
        "jaw",
        "body_x",
        "body_y",
        "tip_radius",
        "hollow",
        "reason",
        "source",
    ];
    let table = read(&folder.join("places.tsv"), &columns, faults);
    let mut body = String::new();
    for place in Place::ALL {
        let Some(row) = table
            .rows
            .iter()
            .find(|row| row.cell("place") == place.name())
        else {
            faults.push(format!("places.tsv: no row for `{place}`"));
            continue;
        };
        sourced(row, faults);
        let organ = match row.cell("organ") {
            "lips" => "Lips",
            "tip" => "Tip",
            "blade" => "Blade",
            "body" => "Body",
            "root" => "Root",
            "none" => "None",
            other => {
                faults.push(format!("{}: no organ `{other}`", row.place));
                "None"
            }
        };
        let mut cell = |column: &str| perhaps(row, column, faults);
        line(
            &mut body,
            &format!(
                "        MouthPlace {{ organ: MouthOrgan::{organ}, anchor: ({:?}, {:?}), along_velum: {:?}, normal: ({:?}, {:?}), jaw: {:?}, body: ({:?}, {:?}), tip_radius: {:?}, hollow: {:?} }},",
                cell("anchor_x"),
                cell("anchor_y"),
                cell("along_velum"),
                cell("normal_x"),
                cell("normal_y"),
                cell("jaw"),
                cell("body_x"),
                cell("body_y"),
                cell("tip_radius"),
                cell("hollow"),
            ),
        );
    }
    line(
        out,
        &format!(
            "    /// By place, in the order of the chart.\n    pub static PLACES: [MouthPlace; {}] = [\n{body}    ];",
            Place::ALL.len()
        ),
    );
}
