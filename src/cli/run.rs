//! Sets the voice up, runs the command, turns an error into one sentence and an exit code.

use super::context::Context;
use super::{Cli, Command, Exit, say};
use crate::page::recent::Pen;
use clap::ValueEnum;
use std::io::IsTerminal;
use std::process::ExitCode;
use tracing_subscriber::layer::SubscriberExt;
use tracing_subscriber::util::SubscriberInitExt;
use tracing_subscriber::{EnvFilter, Layer, fmt};

/// How log lines are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    /// A line for people.
    Text,
    /// A JSON object a line.
    Json,
}

/// Runs a parsed command line.
pub fn run(cli: Cli) -> ExitCode {
    if let Command::ReadUntrusted { memory_mib } = cli.command {
        return ExitCode::from(crate::reader::child::run(memory_mib));
    }
    logs(&cli);
    match command(cli) {
        Ok(exit) => exit.into(),
        Err(error) => {
            say::complain(&format!("error: {error:#}"));
            Exit::Failure.into()
        }
    }
}

fn logs(cli: &Cli) {
    // A service's journal tells each document; at the desk the output itself does.
    let service = matches!(cli.command, Command::Watch(_) | Command::Serve(_) | Command::Nightly(_));
    let level = match (cli.verbose, service) {
        (0, false) => "loamline=warn",
        (0, true) | (1, _) => "loamline=info",
        _ => "loamline=debug",
    };
    let filter = EnvFilter::try_from_env("LOAMLINE_LOG").unwrap_or_else(|_| EnvFilter::new(level));
    let colour = !cli.no_color && std::env::var_os("NO_COLOR").is_none() && std::io::stderr().is_terminal();
    let lines = fmt::layer().with_ansi(colour).with_writer(std::io::stderr);
    let lines = match cli.log_format {
        LogFormat::Text => lines.boxed(),
        LogFormat::Json => lines.json().flatten_event(true).with_ansi(false).boxed(),
    };
    // The pages show the last of it.
    let kept = matches!(cli.command, Command::Serve(_))
        .then(|| fmt::layer().with_ansi(false).with_target(false).with_writer(Pen::default));
    tracing_subscriber::registry().with(filter).with(lines).with(kept).init();
}

fn command(cli: Cli) -> anyhow::Result<Exit> {
    // These work in no home, or in one that is not there yet.
    match cli.command {
        Command::Demo(demo) => return demo.run(cli.home, cli.as_of),
        Command::Restore(restore) => return restore.run(cli.home),
        Command::Units(units) => return units.run(),
        Command::Man(man) => return man.run(),
        Command::Completions(completions) => return completions.run(),
        _ => {}
    }
    let mut context = Context::open(cli.home, cli.as_of)?;
    let exit = match cli.command {
        Command::Ingest(c) => c.run(&mut context),
        Command::Watch(c) => c.run(&mut context),
        Command::Serve(c) => c.run(&mut context),
        Command::Password(c) => c.run(&mut context),
        Command::Token(c) => c.run(&mut context),
        Command::Nightly(c) => c.run(&mut context),
        Command::Digest(c) => c.run(&mut context),
        Command::Held(c) => c.run(&mut context),
        Command::Settle(c) => c.run(&mut context),
        Command::Undo(c) => c.run(&mut context),
        Command::Flags(c) => c.run(&mut context),
        Command::History(c) => c.run(&mut context),
        Command::Trend(c) => c.run(&mut context),
        Command::Plan(c) => c.run(&mut context),
        Command::Applied(c) => c.run(&mut context),
        Command::Letter(c) => c.run(&mut context),
        Command::Charts(c) => c.run(&mut context),
        Command::Export(c) => c.run(&mut context),
        Command::Taught(c) => c.run(&mut context),
        Command::Sites(c) => c.run(&mut context),
        Command::Bag(c) => c.run(&mut context),
        Command::Guides(c) => c.run(&mut context),
        Command::Verify(c) => c.run(&mut context),
        Command::Health(c) => c.run(&mut context),
        Command::Reread(c) => c.run(&mut context),
        Command::Audit(c) => c.run(&mut context),
        Command::Rebuild(c) => c.run(&mut context),
        Command::Backup(c) => c.run(&mut context),
        Command::Demo(_)
        | Command::Restore(_)
        | Command::Units(_)
        | Command::Man(_)
        | Command::Completions(_)
        | Command::ReadUntrusted { .. } => Ok(Exit::Fine),
    }?;
    context.say.flush()?;
    Ok(exit)
}
