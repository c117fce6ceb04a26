//! `sites`: lists them, changes what is known of one, joins two spellings or says that they are two, imports a roster.

mod import;

pub mod roster;

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::say;
use super::settle::who;
use crate::history::{History, KeptSite, KnownName, NameOfSite, State, name_key};
use crate::soil::Site;
use crate::soil::site::WHOLE;
use anyhow::{Context as _, anyhow, bail};
use std::path::PathBuf;

/// Lists the sites, changes what is known of them, imports a roster.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline sites\n  loamline sites import roster.csv --dry-run\n  loamline sites set front-lawn use=lawn area=8000 species=\"tall fescue\"\n  loamline sites set front-lawn sample=\"Frnt lwn\"\n  loamline sites join front-lawn frnt-lawn --who Robin\n  loamline sites apart front-lawn front-lawns --who Robin\n\nEvery change is a decision that `loamline undo` takes back; `loamline settle log` lists them."
)]
pub struct Sites {
    #[command(subcommand)]
    what: Option<What>,
    /// As JSON
    #[arg(long)]
    json: bool,
    /// Who changes it (else the name of the user)
    #[arg(long, global = true, value_name = "NAME")]
    who: Option<String>,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Imports a roster: all of it or nothing
    #[command(
        after_help = "The file is CSV (comma, semicolon or tab) with a header; a line is a site, or a zone of one. Headers in any order and case, others are passed over:\n\n  id            the site's id; without it one is made of client and name\n  client        whose site, as reports print it\n  name          its name\n  zone          part of the site; a line for each\n  area          square feet; or with a unit: 0.5 acre, 740 m2 (also area m2, area acres)\n  use           what grows there, in the guides' words (`loamline guides`)\n  sample names  names that reports print for it, parted by ;\n  codes         your own codes for it, parted by ;\n  depth         0-4 in, 10 cm (also depth in, depth cm)\n  region, texture, species, note\n\nAn empty cell leaves what is known. The same file again changes nothing; a changed one updates. Where there is a column of sample names, names it lists no more are taken out."
    )]
    Import {
        /// The file
        #[arg(value_name = "ROSTER.csv")]
        file: PathBuf,
        /// Only show what would change
        #[arg(long)]
        dry_run: bool,
    },
    /// Changes what is known of a site
    #[command(
        after_help = "Keys: name, client, use, region, texture, species, area, calcareous (yes, no), guides (parted by ;), note, and sample, which adds a name that reports print for it. An empty value takes it out."
    )]
    Set {
        /// The site's id, or a part of it that no other site has
        site: String,
        /// What to change
        #[arg(required = true, value_name = "KEY=VALUE")]
        changes: Vec<String>,
        /// The zone that an added sample name means
        #[arg(long, default_value = WHOLE)]
        zone: String,
    },
    /// Makes two sites one: the second means the first from now on
    Join {
        /// The site that stays
        into: String,
        /// The site that becomes part of it
        from: String,
    },
    /// Says that two sites with names nearly alike are two, so that they are offered as one no more
    Apart {
        /// One site
        one: String,
        /// The other
        other: String,
    },
}

impl Sites {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says; a sentence on what is not known.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let at = jiff::Timestamp::now().to_string();
        match self.what {
            None => list(context, self.json)?,
            Some(What::Import { file, dry_run }) => {
                let who = if dry_run { self.who.unwrap_or_default() } else { who(self.who)? };
                import::import(context, &file, dry_run, &who, &at)?;
            }
            Some(What::Set { site, changes, zone }) => {
                let who = who(self.who)?;
                let mut history = context.history()?;
                let state = changed(&history, &find_site(&history, &site)?.id, &changes, &zone)?;
                let (before, after) = history.would_change(state.clone())?;
                for line in import::differences(&before, &after) {
                    context.say.line(line)?;
                }
                match history.change_sites(state, "set", &who, &at)? {
                    Some(id) => {
                        context
                            .say
                            .line(format!("Changed by decision {id}: `loamline undo {id}` takes it back."))?;
                    }
                    None => context.say.line("It is so already.")?,
                }
            }
            Some(What::Join { into, from }) => {
                let who = who(self.who)?;
                let mut history = context.history()?;
                let (into, from) = (find_site(&history, &into)?.id, find_site(&history, &from)?.id);
                let id = history.join_sites(&into, &from, &who, &at)?;
                context.say.line(format!(
                    "{from} is {into} from now on, by decision {id}: `loamline undo {id}` takes it back."
                ))?;
                if context.settings.sites.contains_key(&from) {
                    context.say.line(format!("[sites.{from}] of the settings means nothing now."))?;
                }
            }
            Some(What::Apart { one, other }) => {
                let who = who(self.who)?;
                let mut history = context.history()?;
                let (one, other) = (find_site(&history, &one)?.id, find_site(&history, &other)?.id);
                match history.set_apart(&one, &other, &who, &at)? {
                    Some(id) => context.say.line(format!(
                        "{one} and {other} are two sites, by decision {id}: `loamline undo {id}` takes it back."
                    ))?,
                    None => context.say.line("It is said already.")?,
                }
            }
        }
        Ok(Exit::Fine)
    }
}

fn list(context: &mut Context, json: bool) -> anyhow::Result<()> {
    let history = context.history()?;
    let sites = history.sites()?;
    if json {
        context.say.json(&sites)?;
    } else if sites.is_empty() {
        context.say.line("No sites yet: `loamline ingest PATH` reads reports, or drop them in the inbox.")?;
    } else {
        let rows = sites.into_iter().map(|s| {
            let area = s.area_ft2.map(|a| format!("{a:.0}")).unwrap_or_default();
            vec![s.id, s.name, s.client.unwrap_or_default(), s.use_.unwrap_or_default(), area]
        });
        context.say.block(&say::table(&["site", "name", "client", "use", "ft2"], rows))?;
        for line in perhaps_one(&history)? {
            context.say.line(line)?;
        }
    }
    Ok(())
}

/// Sites with names nearly alike, each pair with what a person can say of it.
///
/// # Errors
/// What the store says.
pub fn perhaps_one(history: &History) -> anyhow::Result<Vec<String>> {
    let said = |site: &Site| {
        let client = site.client.as_ref().map_or_else(String::new, |client| format!(" of `{client}`"));
        format!("{} (`{}`{client})", site.id, site.name)
    };
    let pairs = history.perhaps_one()?;
    Ok(pairs
        .iter()
        .flat_map(|(one, other)| {
            let (a, b) = (&one.id, &other.id);
            [
                format!("{} and {} are perhaps one site.", said(one), said(other)),
                format!("  loamline sites join {a} {b} (or {b} {a}: the first stays) | loamline sites apart {a} {b}"),
            ]
        })
        .collect())
}

fn changed(history: &History, id: &str, changes: &[String], zone: &str) -> anyhow::Result<State> {
    let kept = history.kept_site(id)?.with_context(|| format!("there is no site {id}"))?;
    let mut site = kept.site;
    let mut state = State::default();
    let mut labels = Vec::new();
    for change in changes {
        let (key, value) = change
            .split_once('=')
            .with_context(|| format!("`{change}` is no change: write KEY=VALUE, for example use=lawn"))?;
        let value = value.trim();
        let text = Some(value.to_owned()).filter(|v| !v.is_empty());
        match key.trim() {
            "name" => site.name = text.context("a site needs a name")?,
            "client" => site.client = text,
            "use" => {
                site.use_ = text.map(|t| roster::known_use(&t)).transpose().map_err(|e| anyhow!(e))?;
            }
            "region" => site.region = text.map(|t| t.to_lowercase()),
            "texture" => site.texture = text.map(|t| t.to_lowercase()),
            "species" => site.species = text,
            "note" => site.note = text,
            "area" => {
                site.area_ft2 = text.map(|t| roster::area(&t, 1.0)).transpose().map_err(|e| anyhow!(e))?
            }
            "calcareous" => {
                site.calcareous = match value {
                    "" => None,
                    "yes" => Some(true),
                    "no" => Some(false),
                    _ => bail!("calcareous is yes, no or empty, not `{value}`"),
                }
            }
            "guides" => {
                site.guides =
                    value.split(';').map(str::trim).filter(|g| !g.is_empty()).map(str::to_owned).collect();
                for guide in &site.guides {
                    if crate::guide::guide(guide)?.is_none() {
                        bail!("there is no guide `{guide}`: `loamline guides` lists them");
                    }
                }
            }
            "sample" => labels.push(text.context("a sample name is missing after sample=")?),
            other => bail!(
                "`{other}` is nothing that is known of a site: name, client, use, region, texture, species, area, calcareous, guides, note, sample"
            ),
        }
    }
    for label in labels {
        let name =
            NameOfSite { client: site.client.clone(), label, site: id.to_owned(), zone: zone.to_owned() };
        let key = name_key(name.client.as_deref(), &name.label);
        state.names.insert(key, Some(KnownName { name, roster: false }));
    }
    state.sites.insert(id.to_owned(), Some(KeptSite { site, joined_into: kept.joined_into }));
    Ok(state)
}
