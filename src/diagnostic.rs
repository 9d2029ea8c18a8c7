//! What is wrong with a transcription, where, why, and what to type instead.
//!
//! A diagnostic is a value: a code, a span and the facts behind it. Its words are made
//! when someone asks for them (`notation/words.rs`).

use std::borrow::Cow;

use crate::text::Span;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// No reading under the standard: the transcription is not valid.
    Error,
    /// Readable, but contradictory, redundant, retired, ambiguous or off the chart.
    Warning,
    /// Legal; a preference.
    Style,
}

impl Severity {
    /// The word for it in the JSON contract.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Style => "style",
        }
    }
}

/// Declares the register of codes.
macro_rules! register {
    ($($variant:ident = $name:literal, $severity:ident, $example:literal, $explanation:literal;)+) => {
        /// The register of everything that can be said about a transcription.
        ///
        /// A code is never renamed and never used for something else.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code { $(#[doc = $explanation] $variant),+ }

        impl Code {
            /// Every code, by subject.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The code's name: lower case words joined by hyphens.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),+ }
            }

            /// The code of that name.
            #[must_use]
            pub fn from_name(name: &str) -> Option<Self> {
                match name { $($name => Some(Self::$variant),)+ _ => None }
            }

            /// How bad it usually is; a table row may say otherwise.
            #[must_use]
            pub const fn severity(self) -> Severity {
                match self { $(Self::$variant => Severity::$severity),+ }
            }

            /// Whether only an accent finds it.
            #[must_use]
            pub const fn needs_accent(self) -> bool {
                self as u8 >= Self::PhonemeUnknown as u8
                    && self as u8 <= Self::StressOnReduced as u8
            }

            /// What it means and what to do about it.
            #[must_use]
            pub const fn explanation(self) -> &'static str {
                match self { $(Self::$variant => $explanation),+ }
            }

            /// A transcription that has this fault; empty where the fault is not in a text.
            #[must_use]
            pub const fn example(self) -> &'static str {
                match self { $(Self::$variant => $example),+ }
            }
        }
    };
}

register! {
    DiacriticUnattached = "diacritic-unattached", Error, "[\u{325}bæt]",
        "A diacritic has no letter to sit on. It belongs directly after its letter, before any modifier letter or length mark.";
    ModifierUnattached = "modifier-unattached", Error, "[ˈːa]",
        "A modifier letter or a length mark has no letter to belong to. It stands after its letter and the letter's marks; only aspiration, nasal, glottal and stop onsets may stand before a consonant.";
    DiacriticOnModifier = "diacritic-on-modifier", Warning, "[tʰ\u{325}a]",
        "A diacritic follows a modifier letter and so sits on that instead of on the letter. Type diacritics first, modifier letters after them.";
    DiacriticMisfit = "diacritic-misfit", Warning, "[s\u{32F}]",
        "The diacritic describes something this sound cannot do, such as no audible release on a fricative.";
    DiacriticRedundant = "diacritic-redundant", Warning, "[p\u{325}]",
        "The diacritic says what the letter says already.";
    DiacriticDoubled = "diacritic-doubled", Warning, "[a\u{303}\u{303}]",
        "The same diacritic stands on the letter twice. Only modifier letters are doubled, for degree.";
    DiacriticsContradict = "diacritics-contradict", Error, "[u\u{31F}\u{320}]",
        "Two marks on one letter say opposite things, so the segment has no reading.";
    DiacriticsOdd = "diacritics-odd", Warning, "[t\u{33A}\u{33B}]",
        "Two marks on one letter hardly go together.";
    ToneMarksStacked = "tone-marks-stacked", Warning, "[a\u{301}\u{300}]",
        "Two tone marks are stacked on one letter, an older way to write a contour. The chart has contour marks and tone letters.";
    DiacriticRetired = "diacritic-retired", Warning, "[kæ\u{323}t]",
        "The mark is not on the current charts any more.";
    DiacriticUnknown = "diacritic-unknown", Error, "[v\u{489}a]",
        "The combining mark is not an IPA or extIPA mark.";
    DiacriticStack = "diacritic-stack", Error, "[a\u{301}\u{325}\u{301}\u{325}\u{301}\u{325}\u{301}\u{325}\u{301}\u{325}\u{301}\u{325}]",
        "More marks are piled on one letter than anyone could mean or see.";
    LengthStack = "length-stack", Error, "[aːːːː]",
        "More length marks than overlong stand after one segment.";
    LengthDoubled = "length-doubled", Style, "[aːː]",
        "Two length marks mean overlong. That reads, though the chart prints only long and half-long.";
    AirstreamsContradict = "airstreams-contradict", Error, "[ɓʼ]",
        "The ejective mark pushes air out, the letter's own airstream draws it in.";
    ArticulationImpossible = "articulation-impossible", Warning, "[ʔ\u{32C}]",
        "The letter and its marks add up to a cell that the chart shades: judged impossible.";
    DetailInBroad = "detail-in-broad", Style, "/bæt\u{31A}/",
        "A broad transcription holds phonemes; this mark is a detail that only a narrow one carries. Write square brackets, or leave the detail out.";
    TieUnattached = "tie-unattached", Error, "[\u{361}tʃ]",
        "A tie bar has no letter on one of its sides. It stands between the two letters it joins.";
    TieInterrupted = "tie-interrupted", Error, "[t\u{361}ˈʃa]",
        "Something stands between the tie bar and the letter it should join. Stress goes before the pair, length and tone after it.";
    TieDoubled = "tie-doubled", Error, "[t\u{361}\u{361}ʃ]",
        "Two tie bars stand in one gap.";
    TieImprobable = "tie-improbable", Warning, "[p\u{361}a]",
        "The tie joins two letters that make no affricate, double articulation or diphthong.";
    TieAfterModifier = "tie-after-modifier", Warning, "[tʰ\u{361}ʃ]",
        "The tie bar follows a modifier letter and so sits on that. It goes directly after the first letter and its diacritics; the modifier goes after the pair.";
    TieChain = "tie-chain", Warning, "[t\u{361}ʃ\u{361}t\u{361}ʃ]",
        "More than three letters are chained by tie bars; what that means is not defined.";
    TieLookalike = "tie-lookalike", Error, "[t\u{311}ʃ]",
        "Another mark is typed where a tie bar is meant. The tie bar is U+0361 (above) or U+035C (below), once, between the letters.";
    StressUnattached = "stress-unattached", Error, "[kætˈ]",
        "A stress mark has no syllable after it. It stands directly before the syllable it stresses.";
    StressDoubled = "stress-doubled", Error, "[ˌˈkæt]",
        "Two different stress marks stand before one syllable.";
    StressRepeated = "stress-repeated", Warning, "[ˈˈkæt]",
        "The stress mark is typed twice. That is an older way to write extra strong stress and is not on the chart.";
    StressBeforeVowel = "stress-before-vowel", Style, "[tʃˈɜːtʃ]",
        "The stress mark stands before the vowel. The convention of the chart is before the whole syllable, onset included.";
    StressWithoutNucleus = "stress-without-nucleus", Warning, "[ˈkt.æ]",
        "The stressed syllable has no vowel and no syllabic consonant.";
    BracketUnclosed = "bracket-unclosed", Error, "[kæt",
        "The bracket is never closed.";
    BracketUnopened = "bracket-unopened", Error, "[kæt)]",
        "The closing bracket was never opened.";
    BracketMismatched = "bracket-mismatched", Error, "/kæt]",
        "The bracket is closed by one of another kind: […] is phonetic, /…/ phonemic.";
    BracketEmpty = "bracket-empty", Error, "[kæ()t]",
        "Nothing stands between the brackets.";
    BracketNested = "bracket-nested", Error, "[[kæt]]",
        "A transcription stands inside another. For a very narrow transcription the double brackets are ⟦…⟧.";
    VoiceLabelUnmatched = "voice-label-unmatched", Error, "[{f laʊd}]",
        "The label after the opening brace is not repeated before the closing one.";
    VoiceLabelMissing = "voice-label-missing", Warning, "[{ˈkæt}]",
        "Braces mark a stretch with a prosodic or voice quality label, and none of the known labels stands here.";
    VoiceDegree = "voice-degree", Warning, "[{4V!hɑːʃ4V!}]",
        "The degree of a voice quality is 1 (slight), 2 (moderate) or 3 (extreme).";
    ToneUnattached = "tone-unattached", Error, "[˥˩]",
        "Tone letters have no syllable to belong to.";
    ToneDetached = "tone-detached", Warning, "[kæt ˥]",
        "A space stands between the syllable and its tone letters.";
    ToneBeforeSyllable = "tone-before-syllable", Warning, "[˥˩fɔɾt]",
        "Tone letters stand before the word. Since 1989 they stand after their syllable.";
    ToneRunLong = "tone-run-long", Warning, "[ma˦˥˦˥˦˥]",
        "More tone letters in one run than any contour needs.";
    ToneOffChart = "tone-off-chart", Warning, "[ma⁵⁵]",
        "Tone digits and sandhi tone letters are in use but outside the IPA. The chart has ˥ ˦ ˧ ˨ ˩.";
    StepUnattached = "step-unattached", Error, "[kætꜛ]",
        "Upstep or downstep has nothing after it. It stands before the syllable it moves.";
    StepRepeated = "step-repeated", Warning, "[ꜜꜜma]",
        "Two step marks stand before one syllable.";
    IntonationMisplaced = "intonation-misplaced", Warning, "[ma↗]",
        "A global rise or fall stands at the end of its phrase; the sign goes before the phrase.";
    BreakTrailing = "break-trailing", Style, "[kæt.]",
        "The syllable break has no syllable after it. A full stop as punctuation has no place in a transcription.";
    BreakLeading = "break-leading", Warning, "[.kæt]",
        "The syllable break has no syllable before it.";
    BreakUnattached = "break-unattached", Error, "[kæ. .tə]",
        "A syllable break stands at a word boundary, which is a syllable break already.";
    BreakDoubled = "break-doubled", Error, "[kæ..tə]",
        "Two syllable breaks stand in one gap.";
    BreakRedundant = "break-redundant", Style, "[kæ.ˈtə]",
        "A stress mark is a syllable break already; the dot before it adds nothing.";
    FullStops = "full-stops", Warning, "[kæt ... dɔɡ]",
        "Full stops in a row are an extIPA pause only inside parentheses: (...).";
    LinkingUnattached = "linking-unattached", Error, "[‿a]",
        "The linking mark has nothing to link on one of its sides.";
    LinkingDoubled = "linking-doubled", Error, "[a‿‿a]",
        "Two linking marks stand in one gap.";
    GroupAlone = "group-alone", Error, "[|]",
        "A group mark separates groups, and there is none here.";
    SpaceAtEdge = "space-at-edge", Style, "[ kæt]",
        "A space stands just inside the brackets.";
    SpaceUnusual = "space-unusual", Warning, "[k\u{A0}æt]",
        "The space is not the plain one (U+0020).";
    PauseMalformed = "pause-malformed", Error, "[kæt (....) dɔɡ]",
        "A pause is one to three full stops or a time in seconds inside parentheses: (.) (..) (...) (2.3 s).";
    ReiterationUnattached = "reiteration-unattached", Error, "[\\pa]",
        "The reiteration sign stands between repeated segments: [p\\p\\pa].";
    LookalikeLetter = "lookalike-letter", Error, "[kаt]",
        "The character looks like an IPA letter but is another one, from another script or alphabet.";
    AmericanistLetter = "americanist-letter", Error, "[čɪp]",
        "The letter has an Americanist or spelling value that it does not have in the IPA.";
    AsciiStandIn = "ascii-stand-in", Error, "[k@t]",
        "A key of the plain keyboard stands in for an IPA symbol.";
    QuoteMark = "quote-mark", Error, "[k’a]",
        "A quotation mark, apostrophe or prime stands in for an IPA symbol.";
    DigitInText = "digit-in-text", Error, "[k3ːt]",
        "Digits are no IPA letters. They are legal only in voice quality labels, measured pauses and notes in double parentheses.";
    SuperscriptLookalike = "superscript-lookalike", Error, "[tᵞ]",
        "The superscript looks like an IPA modifier letter but is another one.";
    MarkLookalike = "mark-lookalike", Error, "[a\u{331}]",
        "The combining mark looks like an IPA diacritic but is another one.";
    InvisibleCharacter = "invisible-character", Error, "[k\u{200B}æt]",
        "The character cannot be seen and has no place in a transcription.";
    BidiControl = "bidi-control", Error, "[k\u{200E}æt]",
        "The character controls the direction of writing; it cannot be seen and reorders what is shown.";
    ByteOrderMark = "byte-order-mark", Warning, "\u{FEFF}[kæt]",
        "A byte-order mark stands at the start of the text.";
    BracketLookalike = "bracket-lookalike", Error, "「kæt」",
        "The character looks like a bracket of transcription but is another one.";
    ArrowLookalike = "arrow-lookalike", Error, "[➚ma]",
        "The arrow is not the one on the chart.";
    TypographicLigature = "typographic-ligature", Error, "[ﬁt]",
        "A ligature from typeset text stands for its letters.";
    DashOrHyphen = "dash-or-hyphen", Error, "[kæt–dɒɡ]",
        "Dashes and hyphens are not IPA. A syllable break is a full stop, a word boundary a space.";
    LetterRetired = "letter-retired", Warning, "[sɩt]",
        "The letter was withdrawn from the IPA.";
    LetterLigature = "letter-ligature", Warning, "[ʧiːz]",
        "The ligature was withdrawn from the IPA; write the two letters, tied where they are one segment.";
    LetterOffChart = "letter-off-chart", Warning, "[ᶑa]",
        "The letter is in use somewhere but on no chart of the IPA.";
    LetterWildcard = "letter-wildcard", Warning, "[Cæt]",
        "The capital stands for any sound of a class, as in formulas; as a sound that was heard but not identified extIPA circles it.";
    ClickOrGroup = "click-or-group", Warning, "[a ǁ a]",
        "A click letter stands alone between spaces, where a group mark is likelier: | is U+007C, ‖ U+2016; the clicks are ǀ U+01C0 and ǁ U+01C1.";
    CharacterUnknown = "character-unknown", Error, "[ሀa]",
        "The character is no symbol of the IPA, the extIPA or the voice quality symbols.";
    CompatibilityForm = "compatibility-form", Error, "[ａ]",
        "A full-width, mathematical or other compatibility form stands for a letter.";
    ControlCharacter = "control-character", Error, "[k\u{1}æt]",
        "A control character stands in the text.";
    CharacterUnassigned = "character-unassigned", Error, "[k\u{E000}æt]",
        "The code point has no character, or a private one that only its owner knows.";
    Markup = "markup", Error, "[<b>kæt</b>]",
        "Markup stands in the text.";
    EscapeSequence = "escape-sequence", Error, "[k\\u00e6t]",
        "An escape sequence of a programming language stands for a character.";
    Mojibake = "mojibake", Error, "[ÊƒÉªp]",
        "The text was decoded with the wrong encoding.";
    OtherNotation = "other-notation", Error, "[K AE1 T]",
        "The text is written in another notation.";
    VariantsListed = "variants-listed", Warning, "[kæt, dɒɡ]",
        "A comma or tilde stands inside a transcription. Between two transcriptions it separates variants; pauses and groups have signs of their own.";
    SpellingLike = "spelling-like", Style, "[cat]",
        "Every letter is legal IPA, but the whole looks like spelling: `c`, `q`, `x` and `y` are not the sounds that English spells with them.";
    TextLong = "text-long", Style, "",
        "A very long stretch has no space, group or pause in it.";
    TextEmpty = "text-empty", Error, "",
        "There is nothing to read.";
    Utf8IllFormed = "utf8-ill-formed", Error, "",
        "The bytes are not well-formed UTF-8 and are not read as characters.";
    PhonemeUnknown = "phoneme-unknown", Error, "/kyt/",
        "The sound is no phoneme of the accent. A broad transcription holds the accent's phonemes; other sounds belong in square brackets. (Judged with --accent; the example by en-US.)";
    SoundNeverOpens = "sound-never-opens", Warning, "/ŋæt/",
        "The phoneme stands in no onset of the accent: it only closes syllables. (Judged with --accent; the example by en-US.)";
    SoundNeverCloses = "sound-never-closes", Warning, "/kæh/",
        "The phoneme stands in no coda of the accent: it only opens syllables. (Judged with --accent; the example by en-US.)";
    OnsetIllegal = "onset-illegal", Warning, "/tlæp/",
        "No word of the accent opens a syllable with these consonants, but for names and loan words. (Judged with --accent; the example by en-US.)";
    CodaIllegal = "coda-illegal", Warning, "/kætb/",
        "No word of the accent ends in these consonants, but for names and loan words. (Judged with --accent; the example by en-US.)";
    VowelCheckedOpen = "vowel-checked-open", Warning, "/sɪ/",
        "A lax vowel ends a stressed syllable with no consonant after it; in English the lax vowels need one. (Judged with --accent; the example by en-US.)";
    SyllableWithoutNucleus = "syllable-without-nucleus", Warning, "/pst/",
        "A word has neither a vowel nor a syllabic consonant. (Judged with --accent; the example by en-US.)";
    StressMissing = "stress-missing", Warning, "/wɔtɚ/",
        "A word of two syllables or more has no primary stress. (Judged with --accent; the example by en-US.)";
    StressSeveral = "stress-several", Warning, "/ˈfɔɹˈtin/",
        "A word has more than one primary stress. The strongest one keeps ˈ, others are ˌ. (Judged with --accent; the example by en-US.)";
    StressOnReduced = "stress-on-reduced", Warning, "/əˈbət/",
        "A primary stress stands on a vowel that the accent has in syllables without stress only. (Judged with --accent; the example by en-US.)";
    ConversionFault = "conversion-fault", Error, "",
        "A piece of X-SAMPA or ARPABET has no counterpart in the IPA, or the other way round.";
}

/// The facts behind a diagnostic, by number in the inventory.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Subject {
    /// Nothing but the span.
    None,
    /// A mark.
    Mark(u16),
    /// Two marks.
    Marks(u16, u16),
    /// A mark on a letter.
    MarkOn(u16, u16),
    /// A letter.
    Symbol(u16),
    /// A row of the lookalikes.
    Lookalike(u16),
    /// A character.
    Character(char),
    /// A bracket, as typed.
    Bracket(&'static str),
    /// How many.
    Count(usize),
    /// A message and a help already in words.
    Words(Box<(String, Option<String>)>),
}

/// One thing that is wrong, where, and how bad it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// What is wrong.
    pub code: Code,
    /// How bad it is.
    pub severity: Severity,
    /// Where, in bytes of the text as typed.
    pub span: Span,
    /// A second place that belongs to it.
    pub related: Option<Span>,
    pub(crate) subject: Subject,
    pub(crate) replacement: Option<Cow<'static, str>>,
}

impl Diagnostic {
    /// A diagnostic about a place, with the code's usual severity and nothing more.
    #[must_use]
    pub(crate) fn new(code: Code, start: usize, end: usize, subject: Subject) -> Self {
        Self {
            code,
            severity: code.severity(),
            span: Span::new(start, end),
            related: None,
            subject,
            replacement: None,
        }
    }

    /// A diagnostic whose words are given: for faults found outside the parser.
    #[must_use]
    pub fn in_words(
        code: Code,
        span: Span,
        message: String,
        help: Option<String>,
    ) -> Self {
        Self::new(
            code,
            span.start,
            span.end,
            Subject::Words(Box::new((message, help))),
        )
    }

    /// The same with a replacement text.
    #[must_use]
    pub(crate) fn replaced_by(
        mut self,
        replacement: impl Into<Cow<'static, str>>,
    ) -> Self {
        self.replacement = Some(replacement.into());
        self
    }

    /// The same with a second place.
    #[must_use]
    pub(crate) fn with_related(mut self, start: usize, end: usize) -> Self {
        self.related = Some(Span::new(start, end));
        self
    }

    /// A text that, put in place of [`span`](Self::span), mends the fault; only where one
    /// reading exists.
    #[must_use]
    pub fn replacement(&self) -> Option<&str> {
        self.replacement.as_deref()
    }
}
