//! `man` and `completions`: the manual's pages and the shells' completions, made from the commands themselves.

use super::say::{Say, count};
use super::{Cli, Exit};
use crate::export::write_whole;
use anyhow::Context as _;
use clap::{Command, CommandFactory, ValueEnum};
use clap_complete::Shell;
use clap_mangen::Man as Page;
use std::path::PathBuf;

/// Writes the manual: a page for the program and one for each command.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline man -o man1\n  loamline man -o /usr/local/share/man/man1\n\nRead a page with `man -l man1/loamline-plan.1`, or `man loamline-plan` once installed."
)]
pub struct Man {
    /// The folder they are written to
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
}

/// Prints the completions of a shell.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline completions bash > ~/.local/share/bash-completion/completions/loamline\n  loamline completions zsh > _loamline\n  loamline completions fish > ~/.config/fish/completions/loamline.fish"
)]
pub struct Completions {
    /// Of which shell
    shell: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Kind {
    Bash,
    Zsh,
    Fish,
}

impl Man {
    /// Runs it.
    ///
    /// # Errors
    /// A sentence on the folder.
    pub fn run(self) -> anyhow::Result<Exit> {
        std::fs::create_dir_all(&self.output)
            .with_context(|| format!("{} cannot be made", self.output.display()))?;
        let pages = pages()?;
        for (name, text) in &pages {
            write_whole(&self.output.join(name), text)?;
        }
        let mut say = Say::default();
        say.line(format!("{} in {}.", count(pages.len(), "page"), self.output.display()))?;
        say.flush()?;
        Ok(Exit::Fine)
    }
}

impl Completions {
    /// Runs it.
    ///
    /// # Errors
    /// What the output says.
    pub fn run(self) -> anyhow::Result<Exit> {
        let mut say = Say::default();
        say.raw(&completions(self.shell))?;
        say.flush()?;
        Ok(Exit::Fine)
    }
}

/// File names and texts of the manual, the program's own page last.
fn pages() -> std::io::Result<Vec<(String, Vec<u8>)>> {
    fn add(command: &Command, pages: &mut Vec<(String, Vec<u8>)>) -> std::io::Result<()> {
        for below in command.get_subcommands().filter(|below| !below.is_hide_set()) {
            add(below, pages)?;
        }
        let page = Page::new(command.clone());
        let mut text = Vec::new();
        page.render(&mut text)?;
        pages.push((page.get_filename(), text));
        Ok(())
    }
    let mut command = Cli::command().disable_help_subcommand(true);
    command.build();
    let mut pages = Vec::new();
    add(&command, &mut pages)?;
    Ok(pages)
}

fn completions(shell: Kind) -> Vec<u8> {
    let shell = match shell {
        Kind::Bash => Shell::Bash,
        Kind::Zsh => Shell::Zsh,
        Kind::Fish => Shell::Fish,
    };
    // Made anew from what people see: a shell's script would offer hidden commands as well.
    let all = Cli::command();
    let seen = all.get_subcommands().filter(|below| !below.is_hide_set()).cloned();
    let mut command = Command::new("loamline")
        .version(env!("CARGO_PKG_VERSION"))
        .args(all.get_arguments().cloned())
        .subcommands(seen);
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut command, "loamline", &mut text);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_has_a_page_and_the_inner_one_has_none() {
        let pages = pages().unwrap();
        let page = |name: &str| {
            let text = &pages.iter().find(|(file, _)| file == name).unwrap_or_else(|| panic!("{name}")).1;
            String::from_utf8(text.clone()).unwrap()
        };
        for command in Cli::command().get_subcommands().filter(|c| !c.is_hide_set()) {
            assert!(page(&format!("loamline-{}.1", command.get_name())).contains(".SH SYNOPSIS"));
        }
        assert!(page("loamline.1").contains("loamline\\-plan(1)"), "{}", page("loamline.1"));
        assert!(page("loamline-settle-accept.1").contains("\\-\\-who"));
        let all =
            pages.iter().map(|(_, text)| String::from_utf8_lossy(text).into_owned()).collect::<String>();
        assert!(!all.contains("untrusted"));
    }

    #[test]
    fn every_shell_knows_every_command_and_not_the_inner_one() {
        for shell in Kind::value_variants() {
            let text = String::from_utf8(completions(*shell)).unwrap();
            for word in ["settle", "nightly", "partition", "as-of"] {
                assert!(text.contains(word), "{shell:?} does not know {word}");
            }
            assert!(!text.contains("untrusted"), "{shell:?}");
        }
    }
}
