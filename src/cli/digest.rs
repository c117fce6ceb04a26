//! `digest`: what the next message would say.

use super::Exit;
use super::context::Context;
use super::messages;

/// Shows what is new since the last message; nothing is sent or marked.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline digest\n  loamline digest --html > digest.html\n\nIt goes out by `nightly`, or daily by `watch` and `serve`, to whoever stands under [webhook] and [smtp] in\nloamline.toml. Each change is told once."
)]
pub struct Digest {
    /// As a page
    #[arg(long, conflicts_with = "json")]
    html: bool,
    /// As JSON, as the webhook gets it
    #[arg(long)]
    json: bool,
}

impl Digest {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let digest = messages::next_digest(context, &history)?.digest;
        if self.html {
            context.say.raw(digest.html()?.as_bytes())?;
        } else if self.json {
            context.say.raw(format!("{}\n", digest.json("")?).as_bytes())?;
        } else {
            context.say.block(&digest.text())?;
        }
        Ok(Exit::Fine)
    }
}
