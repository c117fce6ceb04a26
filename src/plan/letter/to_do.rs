//! What will be done, what is settled first, and what is left alone, in a client's words.

use super::super::nutrients::Nutrient;
use super::super::outcome::{Plan, Planned};
use super::super::zone::KEEPER;
use super::words::{of_zone, plain_question, without_ids};

/// A row of what will be done: the same amount of a product on several days.
pub(super) struct ToDo {
    /// Days.
    pub(super) on: String,
    /// Product, with the zone.
    pub(super) what: String,
    /// What it is for.
    pub(super) purpose: String,
    /// For 1000 square feet.
    pub(super) rate: String,
    /// For the whole area, each time.
    pub(super) total: String,
}

/// What will be done, by the first day.
pub(super) fn to_do(plan: &Plan) -> Vec<ToDo> {
    let mut groups: Vec<(&Planned, Vec<&Planned>)> = Vec::new();
    for one in &plan.applications {
        let same = |first: &Planned| {
            let amount = |one: &Planned| (one.per_1000_ft2.said(), one.total.map(|total| total.said()));
            (first.what(), &first.zone, first.nutrient) == (one.what(), &one.zone, one.nutrient)
                && amount(first) == amount(one)
        };
        match groups.iter_mut().find(|(first, _)| same(first)) {
            Some((_, all)) => all.push(one),
            None => groups.push((one, vec![one])),
        }
    }
    groups
        .into_iter()
        .map(|(first, all)| {
            let days: Vec<String> = all.iter().map(|one| one.on.strftime("%-d %b").to_string()).collect();
            let year = |one: &Planned| one.on.year();
            let last = all.last().map_or(0, |one| year(one));
            let on = if all.iter().all(|one| year(one) == last) {
                format!("{} {last}", days.join(", "))
            } else {
                let days: Vec<String> =
                    all.iter().map(|one| one.on.strftime("%-d %b %Y").to_string()).collect();
                days.join(", ")
            };
            let each = if all.len() > 1 { " each time" } else { "" };
            ToDo {
                on,
                what: format!("{}{}", of_zone(&first.zone), first.what()),
                purpose: purpose(first.nutrient),
                rate: first.per_1000_ft2.said(),
                total: first.total.as_ref().map_or_else(
                    || "area to be measured".to_owned(),
                    |total| format!("{}{each}", total.said()),
                ),
            }
        })
        .collect()
}

/// What a nutrient is put down for.
fn purpose(nutrient: Nutrient) -> String {
    match nutrient {
        Nutrient::N => "nitrogen, for growth and colour".to_owned(),
        Nutrient::P2o5 => "phosphorus, which runs short".to_owned(),
        Nutrient::K2o => "potassium, which runs short".to_owned(),
        Nutrient::LimeCce => "lime, to raise the pH".to_owned(),
        Nutrient::Gypsum => "gypsum, against sodium".to_owned(),
        other => format!("{}, which runs short", other.name().split(" (").next().unwrap_or_default()),
    }
}

/// What must be settled first; what the keeper must set is no matter for the client.
pub(super) fn settle(plan: &Plan) -> Vec<String> {
    plan.questions
        .iter()
        .filter(|one| one.ask != KEEPER)
        .map(|one| match &one.plain {
            Some(plain) => format!("{}{plain} (We ask {}.)", of_zone(&one.zone), one.ask),
            None => format!("{}{}", of_zone(&one.zone), plain_question(&one.question, &one.ask)),
        })
        .collect()
}

/// What is left alone; all that only says "not this season" in one line.
pub(super) fn left_alone(plan: &Plan) -> Vec<String> {
    let idle = |plain: &str| {
        plain.strip_prefix("No ").and_then(|rest| rest.strip_suffix(" this season.")).map(str::to_owned)
    };
    let (mut lines, mut not_now): (Vec<String>, Vec<(&str, Vec<String>)>) = Default::default();
    for one in &plan.leave_alone {
        let plain = one.plain.clone().unwrap_or_else(|| without_ids(&one.reason));
        match idle(&plain) {
            Some(name) => match not_now.iter_mut().find(|(zone, _)| *zone == one.zone) {
                Some((_, names)) => names.push(name),
                None => not_now.push((&one.zone, vec![name])),
            },
            None => lines.push(format!("{}{plain}", of_zone(&one.zone))),
        }
    }
    for (zone, names) in not_now {
        lines.push(format!("{}No {} this season.", of_zone(zone), names.join(", no ")));
    }
    lines.dedup();
    lines
}

/// When the next sample is taken.
pub(super) fn next_test(plan: &Plan) -> Vec<String> {
    let said = |one: &super::super::outcome::Retest| {
        let depth = without_ids(&one.depth);
        let on = one.on.strftime("%B %Y");
        format!("{}About {on}: at least {} cores, {depth}.", of_zone(&one.zone), one.cores)
    };
    plan.retests.iter().map(said).collect()
}
