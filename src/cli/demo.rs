//! `demo`: reads the invented reports the program carries, in a folder of its own.

use super::applied_rows::read_rows;
use super::attention::Attention;
use super::context::Context;
use super::demo_files::{APPLIED, FILES, HOME};
use super::ingest::Tally;
use super::say::{self, count};
use super::{Exit, attention, charts};
use crate::assess::Assessment;
use crate::history::{HeldReading, History};
use crate::home::Home;
use crate::ingest::Source;
use anyhow::Context as _;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Flags shown of one site, and sites whose chart is named.
const FLAGS_SHOWN: usize = 4;

/// Reasons shown why something waits.
const REASONS_SHOWN: usize = 6;

/// Reads ten seasons of invented reports into a folder of their own and shows what comes of them.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline demo\n  loamline --home try-it demo\n\nWithout --home the folder is ./loamline-demo. Running it again starts afresh there."
)]
pub struct Demo {}

impl Demo {
    /// Runs it; `asked` is the home given on the command line.
    ///
    /// # Errors
    /// Where the folder holds something else, or cannot be written.
    pub fn run(self, asked: Option<PathBuf>, as_of: Option<Date>) -> anyhow::Result<Exit> {
        let root = asked.unwrap_or_else(|| PathBuf::from("loamline-demo"));
        fresh(&root)?;
        let home = Home::open(&root)?;
        for (name, text) in HOME {
            let path = home.root().join(name);
            std::fs::write(&path, text).with_context(|| format!("{} cannot be written", path.display()))?;
        }
        let mut context = Context::open_at(home, as_of)?;
        let given = context.home.root().join("reports");
        std::fs::create_dir_all(&given)?;
        let mut files = Vec::new();
        for (name, bytes) in FILES {
            let path = given.join(name);
            std::fs::write(&path, bytes).with_context(|| format!("{} cannot be written", path.display()))?;
            files.push(path);
        }
        let mut tally = Tally::default();
        let mut ingest = context.ingest()?;
        let bar = say::progress(files.len());
        let mut failed = Vec::new();
        ingest.take(&files, Source::Given, |path, told| {
            bar.inc(1);
            match told {
                Ok(told) => tally.count(&told),
                Err(e) => failed.push(format!("{} was not taken: {e}.", crate::ingest::shown(path))),
            }
        });
        bar.finish_and_clear();
        failed.iter().for_each(|f| say::complain(f));
        put_down(&context, &mut ingest.history)?;
        let mut assessments = Vec::new();
        charts::draw_changed(&context, &mut ingest.history, |assessment| assessments.push(assessment))?;
        let held = ingest.history.held()?;
        tell(&mut context, &tally, &assessments, &held)?;
        context.say.flush()?;
        Ok(if failed.is_empty() { Exit::Fine } else { Exit::Failure })
    }
}

/// What a practitioner wants first: what is urgent, what to leave alone, what waits, where the charts are.
fn tell(
    context: &mut Context,
    tally: &Tally,
    assessments: &[Assessment],
    held: &[HeldReading],
) -> anyhow::Result<()> {
    let root = context.home.root().to_owned();
    let say = &mut context.say;
    say.line("Ten seasons of reports by five invented laboratories, as a lawn-care firm would drop them.")?;
    say.line(tally.summary())?;
    say.line("")?;
    let mut found = Attention::default();
    assessments.iter().for_each(|assessment| found.note(assessment));
    say.line(format!("WHAT NEEDS ATTENTION, most urgent first. {}", found.summary()))?;
    for line in found.lines(FLAGS_SHOWN) {
        say.line(line)?;
    }
    say.line("")?;
    say.line("WHAT TO LEAVE ALONE")?;
    for assessment in assessments.iter().filter(|a| !a.leave_alone.is_empty()) {
        say.line(attention::title(&assessment.site))?;
        for one in &assessment.leave_alone {
            say.line(format!("  {}", one.reason))?;
        }
    }
    say.line("")?;
    say.line("WHAT WAITS FOR A PERSON")?;
    let reasons = reasons(held);
    for (sentence, n) in reasons.iter().take(REASONS_SHOWN) {
        say.line(format!("  {}: {sentence}", count(*n, "reading")))?;
    }
    if reasons.len() > REASONS_SHOWN {
        say.line(format!("  and {}.", count(reasons.len() - REASONS_SHOWN, "other reason")))?;
    }
    say.line("")?;
    say.line("CHARTS")?;
    say.line(format!("  {}", root.join("charts/all-sites.svg").display()))?;
    for site in found.urgent().into_iter().take(FLAGS_SHOWN) {
        let file = root.join("charts").join(crate::soil::site::slug(&site.id)).join("main.svg");
        if file.exists() {
            say.line(format!("  {}", file.display()))?;
        }
    }
    say.line("")?;
    say.line("GO ON WITH")?;
    let program = format!("loamline --home {}", root.display());
    let site = found.urgent().first().map_or("SITE", |site| site.id.as_str());
    for (rest, what) in [
        ("plan --all".to_owned(), "the season's products, and what to do on which day"),
        (format!("plan {site}"), "one site: what to put down, what to leave alone, when to test again"),
        (format!("letter {site} -o letter.html"), "the client's letter, one sheet"),
        ("held".to_owned(), "what waits for you"),
        (format!("history {site}"), "its values, season by season; also flags, trend, applied list"),
    ] {
        say.line(format!("  {program} {rest}"))?;
        say.line(format!("      {what}"))?;
    }
    Ok(())
}

/// Records what the firm put down until today.
fn put_down(context: &Context, history: &mut History) -> anyhow::Result<()> {
    let past = |line: &&str| {
        let day = line.split(',').nth(2).and_then(|day| day.parse::<Date>().ok());
        day.is_none_or(|day| day <= context.today)
    };
    let text: String = APPLIED.lines().filter(past).flat_map(|line| [line, "\n"]).collect();
    let all = read_rows(context, history, text.as_bytes(), "applied.csv")?;
    history.add_applications(&all, "the demo", &jiff::Timestamp::now().to_string())?;
    Ok(())
}

/// Sentences why readings are held, with how many each; the most frequent first.
fn reasons(held: &[HeldReading]) -> Vec<(String, usize)> {
    let mut by: BTreeMap<&str, usize> = BTreeMap::new();
    for one in held {
        *by.entry(one.row.doubt.as_deref().unwrap_or("In doubt.")).or_default() += 1;
    }
    let mut reasons: Vec<(String, usize)> = by.into_iter().map(|(s, n)| (s.to_owned(), n)).collect();
    reasons.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    reasons
}

/// Clears the demo's own folder; a folder with anything else in it is left alone.
fn fresh(root: &std::path::Path) -> anyhow::Result<()> {
    let mark = root.join("loamline-demo.txt");
    let taken = std::fs::read_dir(root).is_ok_and(|mut entries| entries.next().is_some());
    if taken && !mark.exists() {
        anyhow::bail!(
            "{} holds something already: give the demo a new folder with --home DIR",
            root.display()
        );
    }
    if taken {
        std::fs::remove_dir_all(root).with_context(|| format!("{} cannot be cleared", root.display()))?;
    }
    std::fs::create_dir_all(root).with_context(|| format!("{} cannot be made", root.display()))?;
    std::fs::write(&mark, "This folder was made by `loamline demo`, which clears it when it runs again.\n")?;
    Ok(())
}
