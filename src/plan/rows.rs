//! The plan as rows of a table: one row an application, a thing left alone, a question or a sample.

use super::outcome::Plan;
use serde::{Deserialize, Serialize};

/// One row. Numbers stand in lb and ft2, volumes in US gal.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct PlanRow {
    /// Site id.
    pub site: String,
    /// Zone.
    pub zone: String,
    /// The season.
    pub season: i16,
    /// `apply`, `leave-alone`, `question` or `sample`.
    pub kind: String,
    /// The day.
    pub on: Option<String>,
    /// Nutrient id.
    pub nutrient: Option<String>,
    /// The product.
    pub product: Option<String>,
    /// lb for 1000 ft2.
    pub lb_per_1000_ft2: Option<f64>,
    /// gal for 1000 ft2.
    pub gal_per_1000_ft2: Option<f64>,
    /// Area, ft2.
    pub area_ft2: Option<f64>,
    /// lb in all.
    pub total_lb: Option<f64>,
    /// gal in all.
    pub total_gal: Option<f64>,
    /// One sentence.
    pub reason: String,
    /// Where to ask, of a question.
    pub ask: Option<String>,
    /// Source key.
    pub source: String,
}

/// All rows of a plan.
pub fn rows(plan: &Plan) -> Vec<PlanRow> {
    let base = |zone: &str, kind: &str, reason: &str, source: &str| PlanRow {
        site: plan.site.clone(),
        zone: zone.to_owned(),
        season: plan.season,
        kind: kind.to_owned(),
        reason: reason.to_owned(),
        source: source.to_owned(),
        ..PlanRow::default()
    };
    let mut all: Vec<PlanRow> = plan
        .applications
        .iter()
        .map(|one| PlanRow {
            on: Some(one.on.to_string()),
            nutrient: Some(one.nutrient.id().to_owned()),
            product: one.product.clone(),
            lb_per_1000_ft2: Some(one.per_1000_ft2.lb),
            gal_per_1000_ft2: one.per_1000_ft2.gal,
            area_ft2: one.area_ft2,
            total_lb: one.total.map(|total| total.lb),
            total_gal: one.total.and_then(|total| total.gal),
            ..base(&one.zone, "apply", &one.reason, &one.source)
        })
        .collect();
    all.extend(plan.questions.iter().map(|one| PlanRow {
        ask: Some(one.ask.clone()),
        ..base(&one.zone, "question", &one.question, &one.source)
    }));
    all.extend(plan.leave_alone.iter().map(|one| base(&one.zone, "leave-alone", &one.reason, &one.source)));
    all.extend(plan.retests.iter().map(|one| PlanRow {
        on: Some(one.on.to_string()),
        ..base(
            &one.zone,
            "sample",
            &format!("{} cores, {}. {}", one.cores, one.depth, one.reason),
            &one.source,
        )
    }));
    all
}
