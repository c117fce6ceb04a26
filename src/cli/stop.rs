//! Ctrl-C and SIGTERM during a batch: what is in hand is finished, the rest stays for the next run.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tokio::signal::unix::{SignalKind, signal};

/// Sets `stop` at the first signal and ends the program at the second; nothing is lost by that either.
///
/// # Errors
/// What the system says of signals or threads.
pub fn on_signal(stop: Arc<AtomicBool>) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    // Heard from here on, not from the moment the thread runs.
    let (mut term, mut int) = {
        let _inside = runtime.enter();
        (signal(SignalKind::terminate())?, signal(SignalKind::interrupt())?)
    };
    std::thread::Builder::new().name("signals".to_owned()).spawn(move || {
        runtime.block_on(async {
            loop {
                tokio::select! {
                    _ = term.recv() => {}
                    _ = int.recv() => {}
                }
                if stop.swap(true, Ordering::Relaxed) {
                    std::process::exit(1);
                }
                super::say::complain("Stopping once the files in hand are filed; once more stops at once.");
            }
        });
    })?;
    Ok(())
}
