//! `applied`: what went down, added, listed, taken back, imported.

use super::Exit;
use super::applied_rows::{Row, read_rows, unit, worked_out};
use super::assessed::find_site;
use super::context::Context;
use super::say::{count, table};
use super::settle::who;
use crate::history::History;
use crate::plan::Application;
use crate::plan::application::AmountUnit;
use crate::plan::nutrients::Nutrient;
use crate::soil::site::WHOLE;
use anyhow::Context as _;
use jiff::civil::Date;
use std::path::PathBuf;

/// What went down: add, list, take back, import.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline applied add front-lawn --product \"Lawn 24-0-6\" --amount 30 --unit lb --on 2026-05-04 --who Robin\n  loamline applied add front-lawn --analysis 46-0-0 --amount 1.2 --unit lb/1000ft2\n  loamline applied list front-lawn\n  loamline applied undo 7\n  loamline applied import 2025.csv\n\nThe CSV has the columns site, zone, date, product, analysis, amount, unit, area_ft2, who, note."
)]
pub struct Applied {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Adds one application
    Add(Box<Add>),
    /// Lists what went down
    List {
        /// One site alone
        #[arg(value_name = "SITE")]
        site: Option<String>,
        /// As JSON
        #[arg(long)]
        json: bool,
    },
    /// Takes an application back
    Undo {
        /// Its key, as `applied list` shows it
        #[arg(value_name = "KEY")]
        key: i64,
        /// Who takes it back (else the name of the user)
        #[arg(long)]
        who: Option<String>,
    },
    /// Adds all applications of a CSV file, or none
    Import {
        /// The file
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Who adds them (else the name of the user)
        #[arg(long)]
        who: Option<String>,
    },
}

#[derive(Debug, clap::Args)]
struct Add {
    /// The site's id, or a part of it that no other site has
    #[arg(value_name = "SITE")]
    site: String,
    /// The zone, where it did not go on all
    #[arg(long, default_value = WHOLE)]
    zone: String,
    /// The day (else today)
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<Date>,
    /// A product of the products file
    #[arg(long, required_unless_present = "analysis")]
    product: Option<String>,
    /// N-P2O5-K2O as on the label, for a product that is not in the file
    #[arg(long, value_name = "N-P2O5-K2O")]
    analysis: Option<String>,
    /// How much
    #[arg(long)]
    amount: f64,
    /// Its unit: lb, oz, kg, g, gal, "fl oz", l, ml in all; or lb/1000ft2, oz/1000ft2, lb/acre, kg/ha, gal/1000ft2, "fl oz/1000ft2", gal/acre, l/ha
    #[arg(long, value_parser = unit)]
    unit: AmountUnit,
    /// The area it went on, square feet (else that of the site)
    #[arg(long, value_name = "FT2")]
    area_ft2: Option<f64>,
    /// Who did it (else the name of the user)
    #[arg(long)]
    who: Option<String>,
    /// A note
    #[arg(long)]
    note: Option<String>,
}

impl Applied {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says; a sentence on what is not known.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let mut history = context.history()?;
        let now = jiff::Timestamp::now().to_string();
        match self.what {
            What::Add(add) => {
                let by = who(add.who.clone())?;
                let row = Row {
                    site: add.site,
                    zone: Some(add.zone),
                    date: add.on.unwrap_or(context.today).to_string(),
                    product: add.product,
                    analysis: add.analysis,
                    amount: add.amount,
                    unit: add.unit.id().to_owned(),
                    area_ft2: add.area_ft2,
                    who: Some(by.clone()),
                    note: add.note,
                };
                let mut one = worked_out(context, &history, row, &context.products()?)?;
                if let Some(key) = history.add_applications(std::slice::from_ref(&one), &by, &now)?.first() {
                    one.id = *key;
                }
                context.say.line(format!("{}: {}", one.id, sentence(&one)))?;
            }
            What::List { site, json } => list(context, &history, site.as_deref(), json)?,
            What::Undo { key, who: by } => {
                history.undo_application(key, &who(by)?, &now)?;
                context.say.line(format!("Application {key} is taken back."))?;
            }
            What::Import { file, who: by } => {
                let by = who(by)?;
                let shown = file.display().to_string();
                let text = std::fs::read(&file)
                    .with_context(|| format!("{shown} cannot be read: check the name and the permissions"))?;
                let all = read_rows(context, &history, &text, &shown)?;
                history.add_applications(&all, &by, &now)?;
                context.say.line(format!("{} added.", count(all.len(), "application")))?;
            }
        }
        Ok(Exit::Fine)
    }
}

fn list(context: &mut Context, history: &History, site: Option<&str>, json: bool) -> anyhow::Result<()> {
    let site = site.map(|site| find_site(history, site)).transpose()?;
    let all = history.applications(site.as_ref().map(|site| site.id.as_str()))?;
    if json {
        let rows: Vec<_> = all
            .iter()
            .map(|one| {
                serde_json::json!({"application": one, "supplied_lb_per_acre": one.supplied_lb_per_acre(),
                    "supplied_kg_per_ha": one.supplied_kg_per_ha()})
            })
            .collect();
        context.say.json(&rows)?;
    } else if all.is_empty() {
        context.say.line("Nothing is recorded: `loamline applied add` does it.")?;
    } else {
        let rows = all.iter().map(|one| {
            let supplied = |nutrient| {
                let lb = one.supplied_lb_per_1000_ft2.get(nutrient);
                format!(
                    "{lb:.2} ({:.0}, {:.0})",
                    one.supplied_lb_per_acre().get(nutrient),
                    one.supplied_kg_per_ha().get(nutrient)
                )
            };
            vec![
                one.id.to_string(),
                one.put.on.to_string(),
                one.put.site.clone(),
                one.put.zone.clone(),
                one.what(),
                format!("{} {}", one.put.amount, one.put.unit),
                supplied(Nutrient::N),
                supplied(Nutrient::P2o5),
                supplied(Nutrient::K2o),
            ]
        });
        context.say.block(&table(
            &[
                "key",
                "day",
                "site",
                "zone",
                "product",
                "amount",
                "N lb/1000ft2 (lb/acre, kg/ha)",
                "P2O5",
                "K2O",
            ],
            rows,
        ))?;
    }
    Ok(())
}

fn sentence(one: &Application) -> String {
    let parts: Vec<String> = one
        .supplied_lb_per_1000_ft2
        .iter()
        .map(|(nutrient, lb)| format!("{lb:.2} lb {}", nutrient.id().to_uppercase()))
        .collect();
    format!("{} on {}: {} for 1000 ft2.", one.put.site, one.put.on, parts.join(", "))
}
