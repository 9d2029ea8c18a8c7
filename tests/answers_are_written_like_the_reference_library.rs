//! What the program writes as JSON is byte for byte what `serde_json`, the reference library
//! of the registries, writes: but that no reader finds an end of line or a command to a
//! terminal in it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use apical::app::output::{Page, write_object};
use proptest::prelude::*;
use serde::Serialize;
use serde_json::Value;
use serde_json::value::RawValue;

fn written(object: &impl Serialize, room: usize) -> String {
    let mut page = Page::new(Vec::new(), Vec::new(), room);
    write_object(&mut page, object).expect("memory takes it");
    let (mut handed_on, rest) = page.into_parts();
    handed_on.extend(rest);
    String::from_utf8(handed_on).expect("UTF-8")
}

/// Line ends beyond ASCII and controls of direction (Unicode 16.0, chapters 5.8 and 23.2),
/// and C1 controls.
fn is_unsafe(character: char) -> bool {
    matches!(u32::from(character), 0x7F..=0x9F | 0x61C | 0x200E | 0x200F)
        || matches!(u32::from(character), 0x2028..=0x202E | 0x2066..=0x2069 | 0xFEFF)
}

/// What the reference library writes, made safe.
fn expected(object: &impl Serialize) -> String {
    let plain = serde_json::to_string(object).expect("it can be written");
    let mut safe = String::new();
    for character in plain.chars() {
        if is_unsafe(character) {
            write!(safe, "\\u{:04x}", u32::from(character)).expect("memory takes it");
        } else {
            safe.push(character);
        }
    }
    safe.push('\n');
    safe
}

fn texts() -> impl Strategy<Value = String> {
    let characters = prop_oneof![
        4 => prop::sample::select(
            "aʃ\u{361}⁵‖…’ⁿ\"\\/\n\r\t\0\u{8}\u{C}\u{1F}\u{7F}\u{80}\u{9F}\u{A0}\u{61B}\u{61C}\
             \u{61D}\u{200D}\u{200E}\u{200F}\u{2010}\u{2027}\u{2028}\u{202E}\u{202F}\u{2065}\
             \u{2066}\u{2069}\u{206A}\u{FEFE}\u{FEFF}\u{FF00}😀"
                .chars()
                .collect::<Vec<_>>(),
        ),
        2 => prop::char::range('a', 'z'),
        1 => any::<char>(),
    ];
    prop::collection::vec(characters, 0..70).prop_map(String::from_iter)
}

fn values() -> impl Strategy<Value = Value> {
    let leaves = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        (0..200_u64).prop_map(Value::from),
        any::<i32>().prop_map(|eighths| Value::from(f64::from(eighths) / 8.0)),
        texts().prop_map(Value::from),
    ];
    leaves.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::btree_map(texts(), inner, 0..6)
                .prop_map(|map| map.into_iter().collect::<Value>()),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn on_any_value(value in values(), room in 1..300_usize) {
        let ours = written(&value, room);
        prop_assert_eq!(&ours, &expected(&value));
        prop_assert!(!ours.trim_end_matches('\n').chars().any(is_unsafe));
        let read: Value = serde_json::from_str(&ours).expect("it can be read");
        prop_assert_eq!(read.to_string(), value.to_string());
    }

    #[test]
    fn on_any_text(text in texts(), room in 1..300_usize) {
        prop_assert_eq!(written(&text, room), expected(&text));
    }
}

#[derive(Serialize)]
struct Unit;

#[derive(Serialize)]
struct Wrapped(u8);

#[derive(Serialize)]
struct Pair(i8, char);

#[derive(Serialize)]
enum Kind {
    Plain,
    Wrapping(f32),
    Tuple(u16, i16),
    Named { of: &'static str },
}

#[derive(Serialize)]
struct Inner {
    within: (u32, i32),
}

#[derive(Serialize)]
struct Everything<'a> {
    unit: (),
    named: Unit,
    wrapped: Wrapped,
    pair: Pair,
    kinds: [Kind; 4],
    none: Option<u8>,
    some: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_out: Option<u8>,
    #[serde(flatten)]
    inner: Inner,
    numbers: BTreeMap<i64, f64>,
    flags: BTreeMap<bool, u8>,
    letters: BTreeMap<char, u8>,
    raw: &'a RawValue,
    not_a_number: f64,
    empty: [u8; 0],
    nothing: BTreeMap<String, u8>,
}

#[test]
fn on_every_kind_of_value_that_serde_knows() {
    let raw = "{\"a\" : 1.50e3, \"b\":[ \"\\u0041\u{2028}\\n\" ]}";
    let raw: &RawValue = serde_json::from_str(raw).expect("JSON");
    let everything = Everything {
        unit: (),
        named: Unit,
        wrapped: Wrapped(9),
        pair: Pair(-1, '\u{85}'),
        kinds: [
            Kind::Plain,
            Kind::Wrapping(0.1),
            Kind::Tuple(10, -10),
            Kind::Named { of: "\"" },
        ],
        none: None,
        some: Some("\u{FEFF}"),
        left_out: None,
        inner: Inner {
            within: (u32::MAX, i32::MIN),
        },
        numbers: BTreeMap::from([(-1, 0.5), (7, 1e300)]),
        flags: BTreeMap::from([(true, 1)]),
        letters: BTreeMap::from([('"', 1)]),
        raw,
        not_a_number: f64::NAN,
        empty: [],
        nothing: BTreeMap::new(),
    };
    for room in [1, 7, 64, 4096] {
        assert_eq!(written(&everything, room), expected(&everything), "{room}");
    }
}
