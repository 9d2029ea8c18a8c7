//! The schemas of what is said about whole sheets: `analyze` and `agree`.

use serde_json::{Value, json};

use super::{list, nullable, object, one_of, text, whole};
use crate::alignment::Kind;
use crate::finding::rule::Confidence;
use crate::report::json::VERSION;

fn yes_or_no() -> Value {
    json!({"type": "boolean"})
}

fn number() -> Value {
    json!({"type": "number"})
}

/// A share of a whole.
fn share() -> Value {
    json!({"type": "number", "minimum": 0, "maximum": 1})
}

fn rows() -> Value {
    list(whole(1))
}

/// Two sounds.
fn contrast() -> Value {
    json!({"type": "array", "items": text(), "minItems": 2, "maxItems": 2})
}

fn difference(one: &str, other: &str) -> Value {
    object(json!({"feature": text(), one: text(), other: text()}))
}

pub(super) fn analyze() -> Value {
    let error = object(json!({
        "row": whole(1),
        "word": text(),
        "target": nullable(text()),
        "production": nullable(text()),
        "kind": one_of(
            Kind::ALL
                .iter()
                .filter(|it| !matches!(it, Kind::Match | Kind::Allophone))
                .map(|it| it.name()),
        ),
        "position": {"enum": ["initial", "medial", "final"]},
        "syllable_part": nullable(json!({"enum": ["onset", "nucleus", "coda"]})),
        "slot": whole(1),
        "cluster": whole(0),
        "stressed": nullable(yes_or_no()),
        "differences": list(difference("target", "production")),
    }));
    let pattern = object(json!({
        "name": text(), "rule": text(), "catches": text(), "class": text(),
        "occurrences": whole(0), "opportunities": whole(1), "bled": whole(0),
        "too_few": yes_or_no(), "allowed": yes_or_no(),
        "rows": rows(), "words": list(text()), "source": text(),
    }));
    let held = object(json!({
        "numerator": whole(0), "denominator": whole(0), "rows": rows(),
    }));
    let prosody = object(json!({
        "stress": held, "reduction": held, "full_vowels": held, "syllables": held,
        "added_syllables": whole(0), "added_rows": rows(), "unmarked_rows": rows(),
    }));
    [rules(), measures()].into_iter().fold(
        json!({
            "version": {"const": VERSION},
            "accent": text(),
            "items": whole(0),
            "right": whole(0),
            "looked_up": whole(0),
            "left_out": list(left_out(json!({}))),
            "errors": list(error),
            "patterns": list(pattern),
            "prosody": prosody,
        }),
        super::joined,
    )
}

/// A row that could not be used.
fn left_out(more: Value) -> Value {
    object(super::joined(
        json!({"row": whole(1), "word": text(), "cause": text(), "reason": text()}),
        more,
    ))
}

/// What is found behind the errors.
fn rules() -> Value {
    let sure = [
        Confidence::Firm,
        Confidence::Likely,
        Confidence::Undecided,
        Confidence::TooFew,
    ];
    let rule = object(json!({
        "rule": text(), "plain": text(), "pattern": nullable(text()),
        "covers": whole(0), "exceptions": whole(0), "otherwise": whole(0),
        "chances": whole(0), "rows": rows(), "exception_rows": rows(),
        "confidence": one_of(sure.into_iter().map(Confidence::name)),
        "posterior": share(), "rivals": list(text()),
    }));
    let factors = json!({
        "errors": whole(0), "generalises": share(),
        "rule": nullable(whole(0)), "score": number(),
    });
    let priority = object(super::joined(
        factors.clone(),
        json!({
            "contrast": contrast(), "nearest": nullable(text()),
            "functional_load": nullable(share()),
        }),
    ));
    let goal = object(super::joined(
        factors,
        json!({
            "plain": nullable(text()), "contrasts": list(contrast()),
            "functional_load": share(),
        }),
    ));
    json!({
        "rules": list(rule),
        "unexplained": whole(0),
        "cut_short": yes_or_no(),
        "searched": whole(0),
        "priorities": list(priority),
        "work_first": list(goal),
        "homophones": list(object(json!({"a": text(), "b": text(), "as": text()}))),
        "ask_next": list(object(json!({
            "word": text(), "bits": number(), "rule": nullable(whole(0)),
        }))),
    })
}

/// The measures and what they are counted over.
fn measures() -> Value {
    let measure = object(json!({
        "name": text(), "value": nullable(number()), "numerator": whole(0),
        "denominator": whole(0), "unit": text(), "rules": text(),
        "note": nullable(text()),
    }));
    let switch = object(json!({
        "name": text(), "value": text(), "usual": yes_or_no(), "decides": text(),
    }));
    let group = object(json!({
        "by": {"enum": ["class", "position", "phoneme"]}, "name": text(),
        "right": whole(0), "distorted": whole(0), "wrong": whole(0), "of": whole(0),
        "distance": whole(0),
    }));
    let heard = object(json!({
        "sound": text(), "phoneme": yes_or_no(), "words": whole(0),
        "established": yes_or_no(), "initial": whole(0), "medial": whole(0),
        "final": whole(0), "wanted": whole(0),
    }));
    json!({
        "measures": list(measure),
        "measured": object(json!({
            "rule_set": text(),
            "switches": list(switch),
            "items": whole(0),
            "left_out": list(object(json!({
                "cause": text(), "count": whole(1), "rows": rows(),
            }))),
            "groups": list(group),
            "inventory": list(heard),
        })),
    })
}

pub(super) fn agree() -> Value {
    let percent = nullable(json!({"type": "number", "minimum": 0, "maximum": 100}));
    let part = object(json!({
        "agreements": whole(0), "comparisons": whole(0), "percent": percent,
    }));
    let coefficient = nullable(json!({"type": "number", "maximum": 1}));
    let disagreement = object(json!({
        "row": whole(1), "row_b": whole(1), "word": text(),
        "a": nullable(text()), "b": nullable(text()), "broad": yes_or_no(),
        "differences": list(difference("a", "b")),
    }));
    json!({
        "version": {"const": VERSION},
        "accent": text(),
        "files": {"type": "array", "items": text(), "minItems": 2, "maxItems": 2},
        "items": whole(0),
        "denominator": text(),
        "broad": part,
        "narrow": part,
        "whole": part,
        "classes": list(object(json!({"name": text(), "broad": part, "narrow": part}))),
        "labels": whole(0),
        "kappa": coefficient,
        "weighted_kappa": coefficient,
        "alpha": coefficient,
        "broad_kappa": coefficient,
        "coefficients": list(object(json!({
            "name": text(), "value": coefficient, "observed": number(),
            "expected": number(),
        }))),
        "disagreements": list(disagreement),
        "stress_rows": rows(),
        "left_out": list(left_out(json!({"file": text()}))),
    })
}
