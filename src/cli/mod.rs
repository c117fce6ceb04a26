//! Commands, global flags, exit codes.

pub mod say;

mod run;

mod context;

mod demo;

mod demo_files;

mod ingest;

mod watch;

mod nightly;

mod stop;

mod serve;

mod password;

mod token;

mod messages;

mod rounds;

mod digest;

mod assessed;

mod backup;

mod copies;

mod charts;

mod overview_rows;

mod export;

mod out;

mod flags;

mod guides;

mod held;

mod history;

mod settle;

mod sites;

pub use sites::roster;

mod bag;

mod taught;

mod trend;

mod verify;

mod checks;

mod health;

mod why;

mod attention;

mod audit;

mod reread;

mod rebuild;

mod plan;

mod plan_page;

mod applied;

mod applied_rows;

mod letter;

mod man;

mod units;

#[cfg(test)]
mod tests;

use clap::{Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// How a run ended, as the contract numbers it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// All done; every document filed or a duplicate.
    Fine,
    /// A failure, or an unsound store.
    Failure,
    /// Some document was held or refused.
    Attention,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Fine => 0,
            Exit::Failure => 1,
            Exit::Attention => 3,
        })
    }
}

/// Turns soil-laboratory reports into a history of every site, with charts, flags and a plan.
#[derive(Debug, Parser)]
#[command(
    name = "loamline",
    version,
    arg_required_else_help = true,
    after_help = "Examples:\n  loamline demo\n  loamline --home ~/soil ingest reports/2024/\n  loamline history front-lawn\n\nExit codes: 0 done; 1 failure; 2 wrong use; 3 something was held or refused."
)]
pub struct Cli {
    /// The home folder with the history, the originals and the charts (else LOAMLINE_HOME, else the user's data folder)
    #[arg(long, global = true, value_name = "DIR")]
    home: Option<PathBuf>,
    /// No colours (NO_COLOR does the same)
    #[arg(long, global = true)]
    no_color: bool,
    /// Assess as of this day instead of today
    #[arg(long, global = true, value_name = "YYYY-MM-DD")]
    as_of: Option<jiff::civil::Date>,
    /// More on stderr about every step; twice for everything
    #[arg(long, short, global = true, action = clap::ArgAction::Count)]
    verbose: u8,
    /// Log lines on stderr as text for people or JSON for programs
    #[arg(long, global = true, value_name = "FORMAT", default_value = "text")]
    log_format: run::LogFormat,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Shows the program at work on ten seasons of invented reports
    Demo(demo::Demo),
    /// Reads files or folders now; the given files stay where they are
    Ingest(ingest::Ingest),
    /// Reads whatever lands in the inbox until stopped
    Watch(watch::Watch),
    /// The watcher and the web pages, on this machine alone unless told otherwise
    Serve(serve::Serve),
    /// Sets the password of the pages, or takes it away
    Password(password::Password),
    /// Makes, lists and revokes the tokens with which programs ask the service
    Token(token::Token),
    /// One pass for a timer: pick-up, the inbox, the charts of what changed, the digest, a summary
    Nightly(nightly::Nightly),
    /// What is new since the last message; nothing is sent or marked
    Digest(digest::Digest),
    /// Lists what waits for a person: the file, the place, what is printed, and why
    Held(held::Held),
    /// Settles what is held: accept, correct, reject, name the unit, the method, the site or the day
    Settle(settle::Settle),
    /// Takes a decision back
    Undo(settle::Undo),
    /// What needs attention, the most urgent first
    Flags(flags::Flags),
    /// A site's values, season by season
    History(history::History),
    /// How a site's values move, and when they meet the edge of sufficiency
    Trend(trend::Trend),
    /// What to put down this season, what to leave alone, and when to test again
    Plan(plan::Plan),
    /// What went down: add, list, take back, import
    Applied(applied::Applied),
    /// Writes a client's letter: one page
    Letter(letter::Letter),
    /// Draws the charts
    Charts(charts::Charts),
    /// Writes a whole table for other programs
    Export(export::Export),
    /// Lists what was taught for the forms of laboratories, or forgets a rule
    Taught(taught::Taught),
    /// Lists the sites, changes what is known of them, imports a roster
    Sites(sites::Sites),
    /// A code for the next sample's bag, so that its report finds the site by itself
    Bag(bag::Bag),
    /// Lists the published tables that classes and flags come from
    Guides(guides::Guides),
    /// Checks the history against itself and the kept originals
    Verify(verify::Verify),
    /// Says whether the inbox is looked at and the history sound, for a monitor
    Health(health::Health),
    /// Reads kept originals again, shows what differs, and lets it count when told to
    Reread(reread::RereadCommand),
    /// Writes the trail of every value: who said what, when, and from where
    Audit(audit::Audit),
    /// Makes a new home from the kept originals and the journal of what people said
    Rebuild(rebuild::Rebuild),
    /// Makes a sound copy of the home, also while the service runs
    Backup(backup::Backup),
    /// Puts a copy back into an empty home, verified
    Restore(backup::Restore),
    /// Writes unit files for systemd: the service, and a nightly pass with its timer
    Units(units::Units),
    /// Writes the manual: a page for the program and one for each command
    Man(man::Man),
    /// Prints the completions of a shell
    Completions(man::Completions),
    /// (inside) reads one untrusted document after the other for the program that started it
    #[command(name = crate::reader::CHILD_ARGUMENT, hide = true)]
    ReadUntrusted {
        /// Address space, MiB
        memory_mib: u64,
    },
}

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    run::run(Cli::parse())
}
