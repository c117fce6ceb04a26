//! `bag`: a short code for the next sample's bag, and what to write on the form.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::settle::who;
use super::sites::roster;
use crate::history::{Filter, History, SiteCode};
use crate::plan::retest::{how_deep, least_cores};
use crate::reader::work::sha256_hex;
use crate::soil::bag_code::{made, written};
use crate::soil::site::{WHOLE, slug};
use crate::soil::{Depth, Site};
use anyhow::{Context as _, anyhow, bail};
use serde::Serialize;

/// A code for the next sample's bag, so that its report finds the site by itself.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline bag front-lawn\n  loamline bag front-lawn --zone back --depth \"0-4 in\" --season 2027\n\nWrite the code on the bag and as the sample's name on the laboratory's form, alone or before the name. Its last character checks the others (ISO/IEC 7064, MOD 37,36): a code misread by the laboratory matches no site, the site is offered instead. Asked again for the same zone, depth and season it is the same code."
)]
pub struct Bag {
    /// The sites' ids, or parts of them that no other site has
    #[arg(required = true, value_name = "SITE")]
    sites: Vec<String>,
    /// The zone, where not the whole is sampled
    #[arg(long, default_value = WHOLE)]
    zone: String,
    /// How deep, where it differs from the last time: "0-4 in", "10 cm"
    #[arg(long, value_name = "DEPTH")]
    depth: Option<String>,
    /// The season of the sample (else this year)
    #[arg(long, value_name = "YEAR")]
    season: Option<i16>,
    /// As JSON
    #[arg(long)]
    json: bool,
    /// Who has it issued (else the name of the user)
    #[arg(long, value_name = "NAME")]
    who: Option<String>,
}

/// What goes on the bag and on the form.
#[derive(Debug, Serialize)]
struct Label {
    code: String,
    site: String,
    name: String,
    client: Option<String>,
    zone: String,
    season: i16,
    depth: String,
    depth_top_cm: Option<f64>,
    depth_bottom_cm: Option<f64>,
    cores: u32,
}

impl Bag {
    /// Runs it.
    ///
    /// # Errors
    /// A site or zone that is not there; what the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let asked =
            self.depth.as_deref().map(|d| roster::depth(d, None)).transpose().map_err(|e| anyhow!(e))?;
        let by = who(self.who)?;
        let at = jiff::Timestamp::now().to_string();
        let season = self.season.unwrap_or_else(|| context.today.year());
        let mut history = context.history()?;
        let sites = self.sites.iter().map(|s| find_site(&history, s)).collect::<anyhow::Result<Vec<_>>>()?;
        let mut labels = Vec::new();
        for site in sites {
            let zone = zone(context, &history, &site, &self.zone)?;
            let (depth, words) = depth(&history, &site, &zone, asked)?;
            let new = SiteCode {
                code: String::new(),
                bag: true,
                site: site.id.clone(),
                zone: zone.clone(),
                season: Some(season),
                depth,
                who: by.clone(),
                at: at.clone(),
            };
            labels.push(Label {
                code: issued(&mut history, new)?,
                site: site.id,
                name: site.name,
                client: site.client,
                zone,
                season,
                depth: words,
                depth_top_cm: depth.map(|d| d.top_cm),
                depth_bottom_cm: depth.map(|d| d.bottom_cm),
                cores: least_cores()?,
            });
        }
        if self.json {
            context.say.json(&labels)?;
            return Ok(Exit::Fine);
        }
        for label in labels {
            let zone = if label.zone == WHOLE { String::new() } else { format!(", zone {}", label.zone) };
            context.say.line(format!("{}  {}{zone}, season {}", label.code, label.name, label.season))?;
            context
                .say
                .line(format!("  On the bag, and as the sample's name on the form: {}", label.code))?;
            if let Some(client) = &label.client {
                context.say.line(format!("  Client on the form: {client}"))?;
            }
            context.say.line(format!("  Depth: {}", label.depth))?;
            context.say.line(format!("  Cores: at least {}, mixed to one sample", label.cores))?;
        }
        Ok(Exit::Fine)
    }
}

fn zone(context: &Context, history: &History, site: &Site, asked: &str) -> anyhow::Result<String> {
    let zone = slug(asked);
    if zone.is_empty() || zone == WHOLE {
        return Ok(WHOLE.to_owned());
    }
    let by_roster = history.zones(&site.id)?.iter().any(|(name, _)| *name == zone);
    let by_settings = context.site_settings(&site.id).zones_ft2.contains_key(&zone);
    let rows = history.readings(&Filter { site: Some(site.id.clone()), ..Filter::default() })?;
    if by_roster || by_settings || rows.iter().any(|row| row.zone == zone) {
        return Ok(zone);
    }
    bail!(
        "{} has no zone `{asked}`: add it with `loamline sites import` or in [sites.{}] zones_ft2",
        site.id,
        site.id
    )
}

/// The depth asked for, else the roster's, else that of the last sample, else the usual one; and in words.
fn depth(
    history: &History,
    site: &Site,
    zone: &str,
    asked: Option<Depth>,
) -> anyhow::Result<(Option<Depth>, String)> {
    let roster = history.zones(&site.id)?.into_iter().find(|(name, _)| name == zone);
    let rows = history.readings(&Filter::counting(&site.id))?;
    let last = rows
        .iter()
        .filter(|row| row.zone == zone)
        .max_by_key(|row| row.season)
        .and_then(|row| row.depth_top_cm.zip(row.depth_bottom_cm))
        .map(|(top_cm, bottom_cm)| Depth { top_cm, bottom_cm });
    let known = asked.or(roster.and_then(|(_, facts)| facts.depth));
    Ok(match (known, last) {
        (Some(depth), Some(last)) if !same(depth, last) => (
            Some(depth),
            format!(
                "{}; the last sample went {}, so values do not compare as they stand",
                spoken(depth),
                spoken(last)
            ),
        ),
        (Some(depth), _) => (Some(depth), spoken(depth)),
        (None, Some(last)) => (Some(last), format!("{}, as before", spoken(last))),
        (None, None) => (None, how_deep(site)?),
    })
}

fn same(a: Depth, b: Depth) -> bool {
    (a.top_cm - b.top_cm).abs() < 0.1 && (a.bottom_cm - b.bottom_cm).abs() < 0.1
}

fn spoken(depth: Depth) -> String {
    let inches = |cm: f64| cm / crate::soil::convert::CM_PER_INCH;
    format!(
        "{:.1} to {:.1} in ({:.0} to {:.0} cm)",
        inches(depth.top_cm),
        inches(depth.bottom_cm),
        depth.top_cm,
        depth.bottom_cm
    )
}

/// Tries before giving up; a draw fails rarely, when its check character could be misread or the code is taken.
const DRAWS: u32 = 1000;

/// The code issued for the same zone, season and depth before, else a new one.
fn issued(history: &mut History, new: SiteCode) -> anyhow::Result<String> {
    let before = history.codes()?.into_iter().find(|code| {
        code.bag
            && code.site == new.site
            && code.zone == new.zone
            && code.season == new.season
            && code.depth == new.depth
    });
    if let Some(before) = before {
        return Ok(before.code);
    }
    for draw in 0..DRAWS {
        let seed = format!("{}/{}/{:?}/{:?}/{draw}", new.site, new.zone, new.season, new.depth);
        let hash = sha256_hex(seed.as_bytes());
        let drawn = hash.get(..15).and_then(|hex| u64::from_str_radix(hex, 16).ok()).unwrap_or_default();
        let Some(key) = made(&new.site, drawn) else { continue };
        if history.code(&key)?.is_some() {
            continue;
        }
        let code = written(&key);
        history.issue_code(&key, &SiteCode { code: code.clone(), ..new })?;
        return Ok(code);
    }
    None.with_context(|| format!("no code is left for {}", new.site))
}
