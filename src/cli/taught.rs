//! `taught`: the rules a person taught for the forms of laboratories, and how to forget one.

use super::Exit;
use super::context::Context;
use super::say::{count, table};
use super::settle::who;
use crate::history::TaughtRow;
use crate::settle::words;

/// Lists what was taught for the forms of laboratories, or forgets a rule.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline settle unit lb/acre 17 18 --teach\n  loamline taught\n  loamline taught forget 3 --who Robin\n\nA rule holds for reports of the same laboratory with the same headings. It is one more witness: where the chemistry of a sample says otherwise, the sample is held. What was let in with the help of a forgotten rule waits again."
)]
pub struct Taught {
    #[command(subcommand)]
    what: Option<Command>,
    /// As JSON, forgotten ones too
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    /// Ends a rule
    Forget {
        /// Its number
        rule: i64,
        /// Who forgets it (else the name of the user)
        #[arg(long, value_name = "NAME")]
        who: Option<String>,
    },
}

impl Taught {
    /// Runs it.
    ///
    /// # Errors
    /// A rule that is not there; what the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let mut history = context.history()?;
        if let Some(Command::Forget { rule, who: by }) = self.what {
            let (id, waiting) = history.forget(rule, &who(by)?, &jiff::Timestamp::now().to_string())?;
            context.say.line(format!(
                "Rule {rule} is forgotten by decision {id}: `loamline undo {id}` takes it back. {} again.",
                match waiting {
                    1 => "1 reading waits".to_owned(),
                    n => format!("{n} readings wait"),
                }
            ))?;
            return Ok(Exit::Fine);
        }
        let all = history.taught()?;
        if self.json {
            context.say.json(&all)?;
            return Ok(Exit::Fine);
        }
        let rows: Vec<Vec<String>> = all.iter().filter(|row| row.ended_at.is_none()).map(line).collect();
        if rows.is_empty() {
            context.say.line("Nothing is taught: add --teach when you settle something.")?;
        } else {
            context
                .say
                .block(&table(&["rule", "laboratory", "what", "who", "when", "from", "helped"], rows))?;
        }
        Ok(Exit::Fine)
    }
}

fn line(row: &TaughtRow) -> Vec<String> {
    vec![
        row.id.to_string(),
        row.rule.lab.clone(),
        words(&row.rule.what),
        row.who.clone(),
        row.at.get(..10).unwrap_or(&row.at).to_owned(),
        row.source_file.clone(),
        count(row.readings, "reading"),
    ]
}
