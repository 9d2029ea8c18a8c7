//! What the commands of the record write.

use serde::Serialize;

use super::VERSION;
use crate::finding::progress::{self, Change, Comparison, Count, Part, Series, Way};
use crate::record::{self, Seen, Session};

/// A client, as `clients` and `client` write it.
#[derive(Clone, Debug, Serialize)]
pub struct Client<'a> {
    version: u32,
    code: &'a str,
    first_language: &'a str,
    accent: &'a str,
    hat: &'static str,
    consent_export: bool,
    consent_recording: bool,
    note: &'a str,
    opened: &'a str,
    sessions: u32,
    last_session: Option<&'a str>,
}

impl<'a> Client<'a> {
    /// A client with how often it came.
    #[must_use]
    pub fn new(client: &'a record::Client, seen: &'a Seen) -> Self {
        Self {
            version: VERSION,
            code: &client.code,
            first_language: &client.first_language,
            accent: &client.accent,
            hat: client.hat.name(),
            consent_export: client.consent.export,
            consent_recording: client.consent.recording,
            note: &client.note,
            opened: &client.opened,
            sessions: seen.sessions,
            last_session: seen.last.as_deref(),
        }
    }
}

/// What `keep` writes.
#[derive(Clone, Debug, Serialize)]
pub struct KeptSheet<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The client's code.
    pub client: &'a str,
    /// The name of the session's list.
    pub session: &'a str,
    /// How many items were kept.
    pub items: usize,
    /// Rows that were not, each with its reason.
    pub left_out: &'a [String],
}

/// What `import` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Imported {
    /// Always [`VERSION`].
    pub version: u32,
    /// Clients taken in.
    pub clients: usize,
    /// Their sessions.
    pub sessions: usize,
    /// Their items and trials.
    pub items: usize,
}

/// What `verify` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Verified<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The caseload's file.
    pub caseload: &'a str,
    /// Whether nothing is wrong.
    pub sound: bool,
    /// What is wrong.
    pub faults: &'a [String],
}

/// What `passphrase` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Sealed<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The caseload's file.
    pub caseload: &'a str,
    /// Whether it is encrypted now.
    pub encrypted: bool,
    /// Copies beside it that anybody can read who gets at them.
    pub plain_copies: &'a [String],
    /// Copies beside it that only the passphrase of before opens.
    pub older_copies: &'a [String],
}

/// What `progress` writes.
#[derive(Clone, Debug, Serialize)]
pub struct Progress<'a> {
    version: u32,
    client: &'a str,
    hat: &'static str,
    practised: Figures<'a>,
    probes: Figures<'a>,
    drills: Vec<Drill<'a>>,
}

#[derive(Clone, Debug, Serialize)]
struct Figures<'a> {
    sessions: Vec<Began<'a>>,
    not_counted: usize,
    /// Items of probes whose word had been practised before.
    practised_before: usize,
    words: Followed<'a>,
    targets: Vec<Followed<'a>>,
    patterns: Vec<Followed<'a>>,
    /// Before and after on the same words.
    comparisons: Vec<Compared<'a>>,
}

#[derive(Clone, Debug, Serialize)]
struct Compared<'a> {
    before: Began<'a>,
    after: Began<'a>,
    /// Whether both are on the list of one name.
    same_list: bool,
    /// The words that both have, said without help: all figures are about them.
    items: usize,
    /// Words said without help in each.
    of: [usize; 2],
    words: [Share; 2],
    gained: usize,
    lost: usize,
    targets: Vec<Changed<'a>>,
    patterns: Vec<Changed<'a>>,
}

#[derive(Clone, Debug, Serialize)]
struct Changed<'a> {
    target: &'a str,
    before: Share,
    after: Share,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct Began<'a> {
    list: &'a str,
    began: &'a str,
}

#[derive(Clone, Debug, Serialize)]
struct Followed<'a> {
    target: &'a str,
    /// First attempts without help, one a session.
    counts: Vec<Share>,
    /// First attempts after a cue, one a session.
    cued: Vec<Share>,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct Share {
    right: u32,
    of: u32,
    /// `null` of nothing.
    percent: Option<f64>,
    /// The 95 % score interval in percent; `null` of nothing.
    interval: Option<[f64; 2]>,
}

#[derive(Clone, Debug, Serialize)]
struct Drill<'a> {
    began: &'a str,
    target: &'a str,
    alone: Share,
    with_cue: Share,
}

impl<'a> Progress<'a> {
    /// The way of a client.
    #[must_use]
    pub fn new(client: &'a record::Client, way: &'a Way) -> Self {
        let drill = |session: &'a Session, drill: &'a progress::Drill| Drill {
            began: &session.began,
            target: &drill.target,
            alone: drill.alone.into(),
            with_cue: drill.with_cue.into(),
        };
        let drills = way.drills.iter().flat_map(|(session, drills)| {
            drills.iter().map(move |it| drill(session, it))
        });
        Self {
            version: VERSION,
            client: &client.code,
            hat: client.hat.name(),
            practised: Figures::from(&way.practised),
            probes: Figures::from(&way.probes),
            drills: drills.collect(),
        }
    }
}

impl<'a> From<&'a Part> for Figures<'a> {
    fn from(part: &'a Part) -> Self {
        let began = |session: &'a Session| Began {
            list: &session.list,
            began: &session.began,
        };
        let compared = |it: &'a Comparison| {
            let [before, after] = it.sessions.map(|number| {
                let session = part.sessions.get(number);
                session.map_or(
                    Began {
                        list: "",
                        began: "",
                    },
                    began,
                )
            });
            Compared {
                before,
                after,
                same_list: it.same_list,
                items: it.items,
                of: it.of,
                words: it.words.map(Share::from),
                gained: it.gained,
                lost: it.lost,
                targets: it.targets.iter().map(Changed::from).collect(),
                patterns: it.patterns.iter().map(Changed::from).collect(),
            }
        };
        Self {
            sessions: part.sessions.iter().map(began).collect(),
            not_counted: part.not_counted,
            practised_before: part.practised_before,
            words: Followed::from(&part.words),
            targets: part.targets.iter().map(Followed::from).collect(),
            patterns: part.patterns.iter().map(Followed::from).collect(),
            comparisons: part.comparisons.iter().map(compared).collect(),
        }
    }
}

impl<'a> From<&'a Change> for Changed<'a> {
    fn from(change: &'a Change) -> Self {
        let [before, after] = change.counts.map(Share::from);
        Self {
            target: &change.target,
            before,
            after,
        }
    }
}

impl<'a> From<&'a Series> for Followed<'a> {
    fn from(series: &'a Series) -> Self {
        let shares = |counts: &[Count]| counts.iter().copied().map(Share::from).collect();
        Self {
            target: &series.target,
            counts: shares(&series.counts),
            cued: shares(&series.cued),
        }
    }
}

impl From<Count> for Share {
    fn from(count: Count) -> Self {
        let rounded = |it: f64| (it * 100.0).round() / 100.0;
        Self {
            right: count.right,
            of: count.of,
            percent: count.percent().map(rounded),
            interval: count.interval().map(|it| it.map(rounded)),
        }
    }
}
