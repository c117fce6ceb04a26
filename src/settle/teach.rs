//! What a decision teaches for the form it was taken on.

use super::reading;
use crate::history::History;
use crate::reading::taught::{Rule, Taught, teachable};
use crate::soil::site::slug;
use anyhow::bail;

/// A rule and the file it is taught from.
pub type Lesson = (Rule, String);

/// The lesson of a reading, for the form it stands on.
///
/// # Errors
/// What the store says.
pub fn lesson(history: &History, key: i64, what: Taught) -> anyhow::Result<Lesson> {
    let (layout, lab, file) = history.layout_of(key)?;
    Ok((Rule { lab: slug(lab.as_deref().unwrap_or_default()), layout, what }, file))
}

/// What accepting readings as they were read says of their form.
///
/// # Errors
/// A reading whose doubts are about its number or the chemistry: nothing of that holds for the next report.
pub fn accepted(history: &History, keys: &[i64]) -> anyhow::Result<Vec<Lesson>> {
    let held = history.held()?;
    let mut lessons = Vec::new();
    for key in keys {
        let Some(one) = held.iter().find(|h| h.row.id == *key) else {
            bail!("reading {key} is not held, so there is nothing to teach");
        };
        let analyte = one.row.analyte;
        let before = lessons.len();
        for doubt in &one.doubts {
            if teachable(doubt) {
                let sentence = (doubt.reason == "name-not-understood").then(|| doubt.sentence.clone());
                let what = Taught::Column { analyte, reason: doubt.reason.clone(), sentence };
                lessons.push(lesson(history, *key, what)?);
            } else if doubt.reason == "unit-missing" {
                let unit = analyte.unit().id().to_owned();
                lessons.push(lesson(history, *key, Taught::Unit { analyte, unit })?);
            }
        }
        if lessons.len() == before {
            bail!(
                "nothing about reading {key} holds for the next report: {} (`settle unit`, `settle method` and `settle assign` can teach)",
                one.row.doubt.as_deref().unwrap_or("its doubt is about this number alone")
            );
        }
    }
    Ok(lessons)
}

/// What assigning samples says of their form.
///
/// # Errors
/// What the store says.
pub fn samples(history: &History, keys: &[i64], site: &str, zone: &str) -> anyhow::Result<Vec<Lesson>> {
    let mut lessons = Vec::new();
    for key in keys {
        let row = reading(history, *key)?;
        let what = Taught::Sample {
            client: slug(history.printed_client(*key)?.as_deref().unwrap_or_default()),
            label: slug(&row.sample_label),
            site: site.to_owned(),
            zone: zone.to_owned(),
        };
        lessons.push(lesson(history, *key, what)?);
    }
    Ok(lessons)
}

/// Keeps the lessons, each once; says so.
///
/// # Errors
/// A form without features to know it by; what the store says.
pub fn all(history: &mut History, lessons: Vec<Lesson>, who: &str, at: &str) -> anyhow::Result<Vec<String>> {
    let mut said = Vec::new();
    for (rule, file) in lessons {
        if rule.layout.is_empty() {
            said.push(format!(
                "The form of `{file}` was not kept when it was read: nothing can be taught from it."
            ));
            continue;
        }
        let what = words(&rule.what);
        if let (id, Some(decision)) = history.teach(&rule, &file, who, at)? {
            said.push(format!(
                "Taught rule {id}: on this form {what}. `loamline undo {decision}` takes it back, `loamline taught` lists all."
            ));
        }
    }
    Ok(said)
}

/// A rule in words.
pub fn words(what: &Taught) -> String {
    match what {
        Taught::Unit { analyte, unit } => format!("{} without a unit is in {unit}", analyte.name()),
        Taught::Method { analyte, method } => format!("{} without a method is by {method}", analyte.name()),
        Taught::Column { analyte, reason, .. } => {
            format!("the column of {} is right as read ({reason})", analyte.name())
        }
        Taught::Sample { client, label, site, zone } => {
            let name = if label.is_empty() { "a sample without a name" } else { label };
            let of = if client.is_empty() { String::new() } else { format!(" of {client}") };
            format!("{name}{of} is site {site} ({zone})")
        }
    }
}
