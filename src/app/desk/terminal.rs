//! The terminal given back as it was when a signal ends the desk.

use std::io::{self, Write as _};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use rustix::termios::{OptionalActions, Termios, tcgetattr, tcsetattr};
use signal_hook::consts::{SIGHUP, SIGTERM};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

use super::draft::Drafts;

/// Whether the signals are watched for already.
static WATCHED: AtomicBool = AtomicBool::new(false);

/// Watches for the signals that end a program. Before one does, the text that is being
/// typed is written down and the terminal put back as it was.
pub(super) fn guard(drafts: &Drafts) -> io::Result<()> {
    // One watch is enough, also where practice is opened from the desk.
    if WATCHED.swap(true, Ordering::Relaxed) {
        return Ok(());
    }
    let before: Option<Termios> = tcgetattr(rustix::stdio::stdin()).ok();
    let mut signals = Signals::new([SIGTERM, SIGHUP])?;
    let drafts = drafts.clone();
    thread::Builder::new()
        .name("signals".to_owned())
        .spawn(move || {
            let Some(signal) = signals.forever().next() else {
                return;
            };
            drafts.flush();
            if let Some(before) = &before {
                let _ = tcsetattr(rustix::stdio::stdin(), OptionalActions::Now, before);
            }
            // Below what is drawn, and with pasted text plain again.
            let mut out = io::stdout();
            let _ = out.write_all(b"\x1B[?2004l\x1B[J\r\n");
            let _ = out.flush();
            let _ = emulate_default_handler(signal);
        })?;
    Ok(())
}
