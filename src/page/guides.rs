//! The published tables behind classes and flags, and their sources.

use super::look::{Frame, show};
use super::{Shared, Trouble};
use crate::guide::scale::Class;
use crate::guide::source::{Source, source, sources};
use crate::guide::{Guide, guide, guides};
use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use std::collections::BTreeSet;

#[derive(Template)]
#[template(path = "guides.html")]
struct Guides {
    frame: Frame,
    guides: Vec<Listed>,
    sources: Vec<&'static Source>,
}

struct Listed {
    guide: &'static Guide,
    regions: String,
    read: usize,
    memory: usize,
}

/// `GET /guides`
///
/// # Errors
/// A built-in table is damaged.
pub async fn list(State(_): State<Shared>, frame: Frame) -> Result<Response, Trouble> {
    let all = guides().map_err(|e| Trouble::inside(&e))?.iter().map(|guide| {
        let read = classes(guide).filter(|class| class.read).count();
        Listed { guide, regions: regions(guide), read, memory: classes(guide).count() - read }
    });
    let sources = sources().map_err(|e| Trouble::inside(&e))?.iter().collect();
    show(&Guides { frame, guides: all.collect(), sources })
}

fn classes(guide: &Guide) -> impl Iterator<Item = &Class> {
    guide.scales.iter().flat_map(|scale| &scale.classes)
}

fn regions(guide: &Guide) -> String {
    if guide.regions.is_empty() { "any".to_owned() } else { guide.regions.join(", ") }
}

#[derive(Template)]
#[template(path = "guide.html")]
struct One {
    frame: Frame,
    guide: &'static Guide,
    regions: String,
    rows: Vec<Row>,
    sources: Vec<&'static Source>,
}

struct Row {
    crop: String,
    analyte: &'static str,
    method: &'static str,
    class: &'static Class,
    printed: String,
    standing: String,
}

/// `GET /guides/{id}`
///
/// # Errors
/// No such guide; a built-in table is damaged.
pub async fn one(State(_): State<Shared>, frame: Frame, Path(id): Path<String>) -> Result<Response, Trouble> {
    let guide = guide(&id).map_err(|e| Trouble::inside(&e))?.ok_or_else(|| Trouble::no_such("guide"))?;
    let rows = guide.scales.iter().flat_map(|scale| {
        scale.classes.iter().map(|class| {
            let condition = scale.condition.as_ref().map(|c| format!(", {c}")).unwrap_or_default();
            let index = scale.moving.map(|moving| format!(" of {}", moving.words(scale.analyte.symbol())));
            Row {
                crop: format!("{}{condition}", scale.crop),
                analyte: scale.analyte.name(),
                method: scale.method.id(),
                class,
                printed: format!("{}{}", class.as_printed, index.unwrap_or_default()),
                standing: format!("{:?}", class.meaning.standing).to_lowercase(),
            }
        })
    });
    let keys: BTreeSet<&str> = classes(guide).map(|class| class.source.as_str()).collect();
    let mut cited = Vec::new();
    for key in keys {
        cited.extend(source(key).map_err(|e| Trouble::inside(&e))?);
    }
    show(&One { frame, regions: regions(guide), rows: rows.collect(), sources: cited, guide })
}
