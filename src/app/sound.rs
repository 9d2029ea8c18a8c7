//! Sound: a recording by the person's own player, a word by a synthetic voice.

use std::io;
use std::path::Path;
use std::process::{Command, Stdio};

use super::Failure;
use crate::report::text::line::visible;

/// The synthetic voice: a program that speaks a word to the loudspeaker.
const VOICE: &str = "espeak-ng";

/// Starts a program and does not wait for its end.
fn start(command: &mut Command) -> io::Result<()> {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    // Waited for beside the typing, so that nothing is left over.
    std::thread::spawn(move || child.wait());
    Ok(())
}

/// Plays a recording.
///
/// # Errors
/// No player set, no such file, a player that does not start; `place` names what it is for.
pub(super) fn play(
    player: &[String],
    file: &Path,
    place: &str,
    how: &str,
) -> Result<(), Failure> {
    let Some((program, arguments)) = player.split_first() else {
        return Err(Failure::new(place, "no program to play it is set", how));
    };
    if !file.exists() {
        return Err(Failure::new(
            place,
            format!("there is no file {}", visible(&file.display().to_string())),
            "its name starts from the folder of the sheet or set",
        ));
    }
    let started = start(Command::new(program).args(arguments).arg(file));
    started.map_err(|error| {
        Failure::new(
            format!("player {}", visible(&player.join(" "))),
            format!("does not start: {error}"),
            how,
        )
    })
}

/// Has a synthetic voice say a word, in the voice of an accent.
///
/// # Errors
/// No voice installed.
pub(super) fn say(word: &str, accent: &str) -> Result<(), Failure> {
    let voice: String = accent.chars().map(|it| it.to_ascii_lowercase()).collect();
    let started = start(Command::new(VOICE).args(["-v", &voice, "--", word]));
    started.map_err(|error| {
        let missing = error.kind() == io::ErrorKind::NotFound;
        let reason = if missing {
            format!("no synthetic voice is installed ({VOICE})")
        } else {
            format!("{VOICE} does not start: {error}")
        };
        let remedy = "install it, or have a person say the words; :skip goes on";
        Failure::new("a spoken word", reason, remedy)
    })
}
