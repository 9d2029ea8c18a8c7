//! The schemas of what practice writes: `practice`, `mark`, `confusions`, `class`.

use serde_json::{Value, json};

use super::{list, nullable, object, one_of, text, whole};
use crate::finding::difference::Feature;
use crate::practice::{FULL, Kind, Outcome};
use crate::report::json::VERSION;

fn features() -> Value {
    list(one_of(Feature::ALL.iter().map(|one| one.name())))
}

/// A share of a whole, from -1 where it says how things go together.
fn share(least: i32) -> Value {
    nullable(json!({"type": "number", "minimum": least, "maximum": 1}))
}

fn version() -> Value {
    json!({"const": VERSION})
}

/// A set, as `practice` lists it.
pub(super) fn practice() -> Value {
    json!({
        "version": version(),
        "name": text(),
        "title": text(),
        "about": text(),
        "accent": text(),
        "options": list(text()),
        "kinds": list(one_of(Kind::ALL.iter().map(|kind| kind.name()))),
        "exercises": whole(0),
    })
}

/// A marked answer: of `mark`, and a row of a learner's record.
pub(super) fn mark() -> Value {
    let sound = object(json!({
        "key": text(),
        "answer": text(),
        "right": {"type": "boolean"},
        "features": features(),
        "position": nullable(json!({"enum": ["initial", "medial", "final"]})),
        "syllable_part": nullable(json!({"enum": ["onset", "nucleus", "coda"]})),
    }));
    let stress = object(json!({
        "key": nullable(whole(1)),
        "answer": nullable(whole(1)),
    }));
    let slip = object(json!({
        "typed": text(),
        "meant": text(),
        "sure": {"type": "boolean"},
    }));
    json!({
        "version": version(),
        "at?": {"type": "string", "format": "date-time"},
        "set": text(),
        "item": text(),
        "kind": one_of(Kind::ALL.iter().map(|kind| kind.name())),
        "learner?": text(),
        "attempt": whole(1),
        "answer": text(),
        "key": text(),
        "outcome": one_of(Outcome::ALL.iter().map(|outcome| outcome.name())),
        "credit": {"type": "integer", "minimum": 0, "maximum": FULL},
        "features": features(),
        "sounds": list(sound),
        "stress": nullable(stress),
        "slip": nullable(slip),
        "feedback": list(text()),
    })
}

/// What a learner or a class confuses.
pub(super) fn confusions() -> Value {
    let of = json!({"wrong": whole(0), "of": whole(0)});
    let named = list(object(super::joined(json!({"name": text()}), of.clone())));
    json!({
        "version": version(),
        "answers": whole(0),
        "left_out": whole(0),
        "contrasts": list(object(json!({
            "one": text(),
            "other": text(),
            "one_as_other": object(of.clone()),
            "other_as_one": object(of.clone()),
            "features": features(),
        }))),
        "missing": list(object(super::joined(json!({"sound": text()}), of.clone()))),
        "added": list(object(json!({"sound": text(), "times": whole(1)}))),
        "features": named,
        "positions": named,
        "syllable_parts": named,
        "stress": object(of.clone()),
        "slips": object(of),
        "cells": list(object(json!({
            "key": text(), "answer": text(), "times": whole(1),
        }))),
    })
}

/// How a class did: item statistics are null where too few have answered.
pub(super) fn class() -> Value {
    let item = object(json!({
        "set": text(),
        "item": text(),
        "answers": whole(0),
        "difficulty": share(0),
        "credit": share(0),
        "point_biserial": share(-1),
        "corrected": share(-1),
        "upper_lower": share(-1),
        "wrong": list(object(json!({"answer": text(), "times": whole(1)}))),
    }));
    let learner = object(json!({
        "learner": text(),
        "answers": whole(0),
        "right": whole(0),
        "credit": share(0),
        "places": whole(0),
        "agreed": whole(0),
        "kappa": share(-1),
    }));
    json!({
        "version": version(),
        "items": list(item),
        "learners": list(learner),
        "kr20": nullable(json!({"type": "number", "maximum": 1})),
        "complete": whole(0),
        "alpha": nullable(json!({"type": "number", "maximum": 1})),
    })
}
