//! The description of the program interface (OpenAPI 3.1), made from the routes and the contract's columns.

use super::{Gives, PREFIX, ROUTES, Route};
use crate::export::{self, Kind, Table};
use axum::Json;
use serde_json::{Map, Value, json};

/// `GET /openapi.json`
pub async fn answer() -> Json<Value> {
    Json(description())
}

/// The whole description.
pub fn description() -> Value {
    let mut paths: Map<String, Value> = Map::new();
    for route in ROUTES {
        let entry = paths.entry(format!("{PREFIX}{}", route.path)).or_insert_with(|| json!({}));
        if let Some(entry) = entry.as_object_mut() {
            entry.insert(route.method.to_owned(), operation(route));
        }
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "loamline",
            "version": "1",
            "summary": "Soil-test histories: readings, trends, flags, sites, documents, charts.",
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" }
        },
        "servers": [{ "url": "/" }],
        "security": [{ "token": [] }, {}],
        "paths": paths,
        "components": {
            "securitySchemes": {
                "token": {
                    "type": "http", "scheme": "bearer",
                    "description": "Made by `loamline token add`. Reading needs none while the pages have no password."
                }
            },
            "schemas": schemas()
        }
    })
}

fn operation(route: &Route) -> Value {
    let in_path = route.path.split('{').skip(1).filter_map(|rest| rest.split('}').next());
    let mut parameters: Vec<Value> = in_path
        .map(|name| json!({ "name": name, "in": "path", "required": true, "schema": { "type": "string" } }))
        .collect();
    parameters.extend(route.query.iter().map(|(name, meaning)| {
        let kind = if *name == "limit" {
            json!({ "type": "integer", "minimum": 1, "maximum": 10_000 })
        } else {
            json!({ "type": "string" })
        };
        let required = route.method == "post";
        json!({ "name": name, "in": "query", "required": required, "description": meaning, "schema": kind })
    }));
    let good = if route.method == "post" { "201" } else { "200" };
    let mut operation = json!({
        "summary": route.summary,
        "operationId": name_of(route),
        "parameters": parameters,
        "responses": {
            good: { "description": route.summary, "content": content(route.gives) },
            "default": {
                "description": "What is wrong and what to do.",
                "content": {
                    "application/problem+json": { "schema": { "$ref": "#/components/schemas/Problem" } }
                }
            }
        }
    });
    if route.method == "post"
        && let Some(operation) = operation.as_object_mut()
    {
        let file = json!({ "required": true, "content": { "application/octet-stream": {} } });
        operation.insert("requestBody".to_owned(), file);
    }
    operation
}

/// `get_sites_id_assessment`
fn name_of(route: &Route) -> String {
    let words: String = route.path.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    format!("{}_{}", route.method, words.join("_"))
}

fn content(gives: Gives) -> Value {
    let named = |name: &str| json!({ "$ref": format!("#/components/schemas/{name}") });
    match gives {
        Gives::Table(table) => json!({
            "application/json": { "schema": named(&format!("{}Page", capital(table))) },
            "application/x-ndjson": { "schema": named(&format!("{}Row", capital(table))) }
        }),
        Gives::Object(name) => json!({ "application/json": { "schema": named(name) } }),
        Gives::File => json!({ "*/*": {} }),
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn schemas() -> Value {
    let mut all = Map::new();
    let tables: [(&str, Table); 5] = [
        ("readings", export::readings(&[])),
        ("trends", export::trends(&[])),
        ("flags", export::flags(&[])),
        ("sites", export::sites(&[])),
        ("documents", export::documents(&[])),
    ];
    for (name, table) in tables {
        all.insert(format!("{}Row", capital(name)), row(&table));
        let rows = json!({ "$ref": format!("#/components/schemas/{}Row", capital(name)) });
        let page = json!({
            "type": "object",
            "required": ["rows", "next"],
            "additionalProperties": false,
            "properties": {
                "rows": { "type": "array", "items": rows },
                "next": { "type": ["string", "null"], "description": "For `after`; null at the end." }
            }
        });
        all.insert(format!("{}Page", capital(name)), page);
    }
    let list = |item: Value| json!({ "type": "array", "items": item });
    let object = || json!({ "type": "object" });
    let count = || json!({ "type": "integer", "minimum": 0 });
    let closed = |properties: Value| {
        let names: Vec<String> =
            properties.as_object().map(|p| p.keys().cloned().collect()).unwrap_or_default();
        json!({ "type": "object", "required": names, "additionalProperties": false, "properties": properties })
    };
    all.insert(
        "Assessment".to_owned(),
        json!({
            "type": "object",
            "required": ["site", "today", "series", "flags", "leave_alone"],
            "properties": {
                "site": object(), "today": { "type": "string", "format": "date" },
                "series": list(object()), "flags": list(object()), "leave_alone": list(object())
            }
        }),
    );
    let progress = json!({
        "batch": count(), "working": { "type": "boolean" }, "files": count(), "done": count(),
        "filed": count(), "held": count(), "refused": count(), "duplicate": count(), "waiting": count(),
        "last": { "type": ["string", "null"] }
    });
    all.insert("Progress".to_owned(), closed(progress));
    let taken = json!({ "taken": { "type": "array", "items": { "type": "string" } } });
    all.insert("Taken".to_owned(), closed(taken));
    all.insert(
        "Description".to_owned(),
        json!({ "type": "object", "required": ["openapi", "info", "paths"] }),
    );
    let problem = json!({ "title": { "type": "string" }, "detail": { "type": "string" }, "status": count() });
    all.insert("Problem".to_owned(), closed(problem));
    Value::Object(all)
}

/// A row with exactly the contract's columns.
fn row(table: &Table) -> Value {
    let names: Vec<&str> = table.columns.iter().map(|c| c.name).collect();
    let properties: Map<String, Value> =
        table.columns.iter().map(|c| (c.name.to_owned(), kind(c.kind))).collect();
    json!({ "type": "object", "required": names, "additionalProperties": false, "properties": properties })
}

fn kind(kind: Kind) -> Value {
    match kind {
        Kind::Text => json!({ "type": ["string", "null"] }),
        Kind::Number => json!({ "type": ["number", "null"] }),
        Kind::Integer => json!({ "type": ["integer", "null"] }),
        Kind::Date => json!({ "type": ["string", "null"], "format": "date" }),
        Kind::Box => json!({
            "type": ["array", "string", "null"], "items": { "type": "number" },
            "description": "x0 y0 x1 y1 in points from the top left, or the address of a cell."
        }),
    }
}
