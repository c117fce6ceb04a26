//! `token`: makes, lists and revokes the tokens with which programs ask the service.

use super::Exit;
use super::context::Context;
use super::say;
use crate::page::guard::tokens::{self, Rights};
use anyhow::bail;
use clap::Subcommand;

/// Makes, lists and revokes the tokens with which programs ask the service.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline token add --read \"report viewer\"\n  loamline token list\n  loamline token revoke \"report viewer\"\n\nA program sends it as `Authorization: Bearer TOKEN` to addresses below /api/v1/; /api/v1/openapi.json describes them."
)]
pub struct Token {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Makes a token and shows it once
    Add {
        /// It may read
        #[arg(long, conflicts_with = "full", required_unless_present = "full")]
        read: bool,
        /// It may read, and put files into the inbox
        #[arg(long)]
        full: bool,
        /// What you call it
        name: String,
    },
    /// Lists the tokens
    List,
    /// Takes a token back at once
    Revoke {
        /// What you call it
        name: String,
    },
}

impl Token {
    /// Runs it.
    ///
    /// # Errors
    /// A name that is taken or not there, or what the disk says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        match self.what {
            What::Add { read, full, name } => {
                if read == full {
                    bail!("say --read or --full");
                }
                let rights = if full { Rights::Full } else { Rights::Read };
                let word = tokens::add(&context.home, &name, rights, context.today)?;
                say::complain("Keep it well: it is shown this once.");
                context.say.line(word)?;
            }
            What::List => {
                let rows = tokens::list(&context.home)?.into_iter().map(|t| {
                    let rights = match t.rights {
                        Rights::Read => "read",
                        Rights::Full => "full",
                    };
                    vec![t.name, rights.to_owned(), t.made_on.to_string()]
                });
                context.say.block(&say::table(&["name", "rights", "made on"], rows))?;
            }
            What::Revoke { name } => {
                tokens::revoke(&context.home, &name)?;
                context.say.line(format!("`{name}` opens nothing any more."))?;
            }
        }
        Ok(Exit::Fine)
    }
}
