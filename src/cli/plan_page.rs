//! The plan in lines for a person.

use super::say::{count, table};
use crate::plan::Plan;
use crate::plan::demand::{DayLine, Demand, Load};
use crate::soil::site::WHOLE;

/// The plan of one site.
pub fn site(plan: &Plan) -> Vec<String> {
    let client = plan.client.as_deref().map(|client| format!(", {client}")).unwrap_or_default();
    let mut lines = vec![format!("{}{client} ({}): plan for {}", name(plan), plan.site, plan.season)];
    for n in &plan.nitrogen {
        let a = &n.account;
        lines.push(format!(
            "Nitrogen{}: {:.2} lb/1000 ft2 wanted, {:.2} for clippings, {:.2} down, {:.2} left{}.",
            zone(&n.zone),
            a.target.lb_per_1000_ft2,
            a.clippings_credit,
            a.down,
            a.left,
            if a.over_by > 0.0 { format!(", {:.2} over", a.over_by) } else { String::new() }
        ));
    }
    lines.push(String::new());
    if plan.applications.is_empty() {
        lines.push("Nothing to put down.".to_owned());
    } else {
        lines.push("Put down".to_owned());
        let rows = plan.applications.iter().map(|one| {
            vec![
                one.on.to_string(),
                one.zone.clone(),
                one.what().to_owned(),
                one.per_1000_ft2.said(),
                one.total.as_ref().map_or_else(|| "area not known".to_owned(), |total| total.said()),
                format!("{} x {}", one.passes, one.per_pass.said()),
            ]
        });
        lines.push(table(&["day", "zone", "what", "for 1000 ft2", "in all", "passes for 1000 ft2"], rows));
        let mut told: Vec<&str> = Vec::new();
        for one in &plan.applications {
            // The parts of one amount have one reason.
            if !told.contains(&one.reason.as_str()) {
                told.push(&one.reason);
                lines.push(format!(
                    "  {}: {} [{}; rests on {}]",
                    one.nutrient.name(),
                    one.reason,
                    one.source,
                    one.rests_on
                ));
            }
        }
    }
    section(
        &mut lines,
        "Settle first",
        plan.questions
            .iter()
            .map(|one| format!("{}{} Ask {}. [{}]", prefix(&one.zone), one.question, one.ask, one.source)),
    );
    section(
        &mut lines,
        "Leave alone",
        plan.leave_alone.iter().map(|one| format!("{}{} [{}]", prefix(&one.zone), one.reason, one.source)),
    );
    section(
        &mut lines,
        "Sample again",
        plan.retests.iter().map(|one| {
            format!(
                "{}{}: at least {} cores, {}. {} [{}]",
                prefix(&one.zone),
                one.on,
                one.cores,
                one.depth,
                one.reason,
                one.source
            )
        }),
    );
    ledger(plan, &mut lines);
    section(&mut lines, "Bear in mind", plan.cautions.iter().map(|one| one.sentence.clone()));
    lines
}

fn ledger(plan: &Plan, lines: &mut Vec<String>) {
    let number = |value: Option<f64>| value.map_or_else(|| "?".to_owned(), |value| format!("{value:.0}"));
    // Years in which nothing went down and nothing was measured tell nothing.
    let rows: Vec<Vec<String>> = plan
        .ledger
        .iter()
        .filter(|row| row.applied_lb_per_acre.is_some_and(|lb| lb > 0.0) || row.test_mg_per_kg.is_some())
        .map(|row| {
            vec![
                row.year.to_string(),
                row.zone.clone(),
                row.nutrient.id().to_uppercase(),
                number(row.applied_lb_per_acre),
                number(row.removed_lb_per_acre),
                number(row.balance_lb_per_acre),
                row.test_mg_per_kg.map_or_else(String::new, |v| tenths(v).to_string()),
                row.test_change_mg_per_kg.map_or_else(String::new, |v| format!("{:+}", tenths(v))),
            ]
        })
        .collect();
    // Without a word on what went down there is no balance to show.
    if rows.is_empty() || plan.ledger.iter().all(|row| row.applied_lb_per_acre.is_none()) {
        return;
    }
    lines.push(String::new());
    lines.push("Ledger, lb/acre (soil test in mg/kg)".to_owned());
    lines
        .push(table(&["year", "zone", "nutrient", "down", "carried off", "balance", "test", "change"], rows));
    for own in &plan.own_buffering {
        let bounds = match (own.low, own.high) {
            (Some(low), Some(high)) => format!(", between {low:.0} and {high:.0}"),
            _ => ", too loose to dose by".to_owned(),
        };
        lines.push(format!(
            "  This soil{}: about {:.0} lb {}/acre for 1 mg/kg by {}{bounds}, from {}.",
            zone(&own.zone),
            own.lb_oxide_per_mg_per_kg,
            own.nutrient.id().to_uppercase(),
            own.method,
            count(own.intervals, "interval")
        ));
    }
}

/// All sites: what to buy, and what to do on which day.
pub fn all(
    plans: &[Plan],
    demand: &[Demand],
    (days, loads): (&[DayLine], &[Load]),
    season: i16,
) -> Vec<String> {
    let questions: usize = plans.iter().map(|plan| plan.questions.len()).sum();
    let mut lines = vec![format!(
        "{} in {season}: {}, {} to settle first (loamline plan SITE).",
        count(plans.len(), "site"),
        count(days.len(), "application"),
        count(questions, "question")
    )];
    if !demand.is_empty() {
        lines.push(String::new());
        lines.push("To have at hand".to_owned());
        let rows = demand.iter().map(|one| {
            vec![
                one.what.clone(),
                one.amount.said(),
                one.packages.map_or_else(String::new, |n| n.to_string()),
                one.cost.map_or_else(String::new, |cost| format!("{cost:.2}")),
                one.sites.to_string(),
                left_out(one.without_area),
            ]
        });
        lines.push(table(&["what", "amount", "packages", "cost", "sites", ""], rows));
    }
    if !days.is_empty() {
        lines.push(String::new());
        lines.push("Day by day".to_owned());
        let rows = days.iter().map(|line| {
            vec![
                line.on.to_string(),
                line.site.clone(),
                line.zone.clone(),
                line.what.clone(),
                line.per_1000_ft2.said(),
                line.total.as_ref().map_or_else(|| "area not known".to_owned(), |total| total.said()),
            ]
        });
        lines.push(table(&["day", "site", "zone", "what", "for 1000 ft2", "in all"], rows));
        lines.push(String::new());
        lines.push("To load on each day".to_owned());
        let rows = loads.iter().map(|one| {
            vec![
                one.on.to_string(),
                one.what.clone(),
                one.amount.said(),
                one.sites.to_string(),
                left_out(one.without_area),
            ]
        });
        lines.push(table(&["day", "what", "amount", "sites", ""], rows));
    }
    lines
}

/// What an amount lacks since nobody said how large its place is.
fn left_out(without_area: usize) -> String {
    match without_area {
        0 => String::new(),
        n => format!("{} without an area left out", count(n, "application")),
    }
}

/// To a tenth; a whole number stays one.
fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn section(lines: &mut Vec<String>, title: &str, said: impl Iterator<Item = String>) {
    let said: Vec<String> = said.map(|line| format!("  {line}")).collect();
    if !said.is_empty() {
        lines.push(String::new());
        lines.push(title.to_owned());
        lines.extend(said);
    }
}

fn name(plan: &Plan) -> &str {
    if plan.name.is_empty() { &plan.site } else { &plan.name }
}

fn zone(zone: &str) -> String {
    if zone == WHOLE { String::new() } else { format!(" in {zone}") }
}

fn prefix(zone: &str) -> String {
    if zone == WHOLE { String::new() } else { format!("{zone}: ") }
}
