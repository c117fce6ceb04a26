//! The book of decisions, and how one is taken back.

use super::who;
use crate::cli::Exit;
use crate::cli::context::Context;
use crate::cli::say::table;
use crate::history::DecisionRow;

/// Lists every decision.
///
/// # Errors
/// What the store says.
pub fn log(context: &mut Context, json: bool) -> anyhow::Result<Exit> {
    let all = context.history()?.decisions()?;
    if json {
        context.say.json(&all)?;
    } else if all.is_empty() {
        context.say.line("Nothing was decided yet.")?;
    } else {
        let about = |d: &DecisionRow| match (d.reading_id, d.sample_id, &d.subject) {
            (Some(id), ..) => format!("reading {id}"),
            (_, Some(id), _) => format!("sample {id}"),
            (_, _, subject) => subject.clone().unwrap_or_default(),
        };
        let short = |text: &str| {
            let cut: String = text.chars().take(60).collect();
            if cut.len() < text.len() { format!("{cut} ...") } else { cut }
        };
        let rows = all.iter().map(|d| {
            let action = d.undoes.map_or_else(|| d.action.clone(), |id| format!("undo {id}"));
            vec![
                d.id.to_string(),
                d.at.clone(),
                d.who.clone(),
                action,
                about(d),
                short(&d.before),
                short(&d.after),
            ]
        });
        context.say.block(&table(&["decision", "when", "who", "what", "about", "before", "after"], rows))?;
    }
    Ok(Exit::Fine)
}

/// Takes a decision back.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  loamline undo 12 --who Robin\n\nWhat it concerned stands as it did before. Later decisions on the same reading go first. `loamline settle log` lists all."
)]
pub struct Undo {
    /// Number of the decision
    decision: i64,
    /// Who takes it back (else the name of the user)
    #[arg(long, value_name = "NAME")]
    who: Option<String>,
}

impl Undo {
    /// Runs it.
    ///
    /// # Errors
    /// A decision that is not there or cannot be taken back.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let mut history = context.history()?;
        let id = history.undo(self.decision, &who(self.who)?, &jiff::Timestamp::now().to_string())?;
        context.say.line(format!("Decision {} taken back by decision {id}.", self.decision))?;
        Ok(Exit::Fine)
    }
}
