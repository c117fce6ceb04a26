//! `password`: sets the password of the pages.

use super::Exit;
use super::context::Context;
use super::say;
use crate::page::guard::password;
use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};
use std::io::{self, BufRead, IsTerminal};

/// Sets the password of the pages, or takes it away.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline password\n  loamline password < file\n\nThe password is asked for, or read as one line from standard input.\n\nOnly its argon2id hash is kept, in `loamline.password` in the home folder."
)]
pub struct Password {
    /// Take the password away; the pages then answer on this machine alone
    #[arg(long)]
    remove: bool,
}

impl Password {
    /// Runs it.
    ///
    /// # Errors
    /// A password that is too short, or what the disk says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        if self.remove {
            match std::fs::remove_file(context.home.password()) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e.into()),
                _ => context.say.line(
                    "No password is set now; a running service keeps its own until it is started anew.",
                )?,
            }
            return Ok(Exit::Fine);
        }
        let word = asked()?;
        password::set(&context.home, word.trim_end_matches(['\r', '\n']))?;
        context.say.line("The password is set. Start the service anew where it ran without one.")?;
        Ok(Exit::Fine)
    }
}

/// One line, not shown while it is typed.
fn asked() -> io::Result<String> {
    let input = io::stdin();
    let mut line = String::new();
    if !input.is_terminal() {
        input.lock().read_line(&mut line)?;
        return Ok(line);
    }
    say::complain("The new password (12 letters or more; it is not shown):");
    let before = tcgetattr(&input)?;
    let mut silent = before.clone();
    silent.local_modes.remove(LocalModes::ECHO);
    tcsetattr(&input, OptionalActions::Flush, &silent)?;
    let read = input.lock().read_line(&mut line);
    tcsetattr(&input, OptionalActions::Flush, &before)?;
    read.map(|_| line)
}
