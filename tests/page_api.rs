//! What programs ask, from outside: the description, the tables, the tokens, the originals.

use super::page::{Pages, with_readings};
use super::world::{TABLE, World, eventually};
use loamline::page::api::{Gives, PREFIX, ROUTES};
use serde_json::Value;

/// What does not fit a schema, in words; knows the words of JSON Schema that the description uses.
fn misfits(value: &Value, schema: &Value, all: &Value, at: &str, found: &mut Vec<String>) {
    if let Some(named) = schema["$ref"].as_str() {
        let name = named.rsplit('/').next().unwrap();
        assert!(all.get(name).is_some(), "{named} is not described");
        return misfits(value, &all[name], all, at, found);
    }
    let kinds: Vec<&str> = match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    };
    let is = |kind: &str| match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.is_i64() || value.is_u64(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        other => panic!("the test does not know the type {other}"),
    };
    if !kinds.is_empty() && !kinds.iter().any(|k| is(k)) {
        found.push(format!("{at} is {value}, not {kinds:?}"));
    }
    if let (Some(items), Some(item)) = (value.as_array(), schema.get("items")) {
        for (n, one) in items.iter().enumerate() {
            misfits(one, item, all, &format!("{at}[{n}]"), found);
        }
    }
    if let Some(object) = value.as_object() {
        for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !object.contains_key(name) {
                found.push(format!("{at} lacks {name}"));
            }
        }
        for (name, one) in object {
            match schema["properties"].get(name) {
                Some(own) => misfits(one, own, all, &format!("{at}.{name}"), found),
                None if schema["additionalProperties"] == Value::Bool(false) => {
                    found.push(format!("{at} has {name}, which is not described"));
                }
                None => {}
            }
        }
    }
}

#[test]
fn the_measure_of_the_test_sees_what_does_not_fit() {
    let schema = serde_json::json!({"type": "object", "required": ["a"], "additionalProperties": false,
        "properties": {"a": {"type": ["integer", "null"]}}});
    for wrong in [serde_json::json!({}), serde_json::json!({"a": "x"}), serde_json::json!({"a": 1, "b": 2})] {
        let mut found = Vec::new();
        misfits(&wrong, &schema, &Value::Null, "it", &mut found);
        assert_eq!(found.len(), 1, "{wrong}");
    }
}

#[test]
fn every_described_address_answers_as_described_and_none_is_left_out() {
    let world = with_readings();
    let pages = Pages::of(&world);
    let described: Value = serde_json::from_str(&pages.get("/api/v1/openapi.json").text()).unwrap();
    assert_eq!(described["openapi"], "3.1.0");
    for needed in ["title", "version"] {
        assert!(described["info"][needed].is_string());
    }
    let schemas = &described["components"]["schemas"];
    let count: usize =
        described["paths"].as_object().unwrap().values().map(|p| p.as_object().unwrap().len()).sum();
    assert_eq!(count, ROUTES.len());
    let site = world.export("sites")[0]["site"].as_str().unwrap().to_owned();
    let sha256 = world.export("documents")[0]["source_sha256"].as_str().unwrap().to_owned();
    let mut names = std::collections::BTreeSet::new();
    for route in ROUTES {
        let operation = &described["paths"][format!("{PREFIX}{}", route.path)][route.method];
        assert!(names.insert(operation["operationId"].as_str().unwrap().to_owned()), "an id twice");
        let in_path =
            operation["parameters"].as_array().unwrap().iter().filter(|p| p["in"] == "path").count();
        assert_eq!(in_path, route.path.matches('{').count(), "{}", route.path);
        if route.method == "post" {
            continue;
        }
        let path =
            route.path.replace("{id}", &site).replace("{sha256}", &sha256).replace("{file}", "main.svg");
        let answer = pages.get(&format!("{PREFIX}{path}"));
        assert_eq!(answer.status, 200, "{path}: {}", answer.text());
        if route.gives == Gives::File {
            continue;
        }
        assert_eq!(answer.header("content-type"), Some("application/json"), "{path}");
        let schema = &operation["responses"]["200"]["content"]["application/json"]["schema"];
        let mut found = Vec::new();
        misfits(&serde_json::from_str(&answer.text()).unwrap(), schema, schemas, &path, &mut found);
        assert!(found.is_empty(), "{found:#?}");
    }
    let origin = format!("http://127.0.0.1:{}", pages.port);
    for kind in ["multipart/form-data; boundary=cut", "application/octet-stream", "text/plain"] {
        let headers = [("Origin", origin.as_str()), ("Content-Type", kind)];
        let put = pages.ask("POST", "/api/v1/inbox?name=a.csv", &headers, b"x");
        assert_eq!(put.status, 403, "our own origin alone puts nothing into the inbox ({kind})");
    }
    let trouble = pages.get("/api/v1/sites/none/assessment");
    assert_eq!((trouble.status, trouble.header("content-type")), (404, Some("application/problem+json")));
    let mut found = Vec::new();
    misfits(&serde_json::from_str(&trouble.text()).unwrap(), &schemas["Problem"], schemas, "it", &mut found);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn the_tables_are_those_of_the_export_page_by_page_and_line_by_line() {
    let world = with_readings();
    let again = world.give("copy.csv", TABLE);
    world.ingest(&again);
    let pages = Pages::of(&world);
    for table in ["readings", "trends", "flags", "sites", "documents"] {
        let expected = world.export(table);
        assert!(expected.len() > 1 || table == "flags", "{table}");
        let mut rows = Vec::new();
        let mut after = String::new();
        for _ in 0..100 {
            let answer = pages.get(&format!("/api/v1/{table}?limit=1{after}"));
            assert_eq!(answer.status, 200, "{}", answer.text());
            let page: Value = serde_json::from_str(&answer.text()).unwrap();
            let part = page["rows"].as_array().unwrap();
            if table == "readings" {
                let more = part.iter().any(|row| row["site"] != part[0]["site"]);
                assert!(!more, "a page ends with the site that fills it");
            }
            rows.extend(part.clone());
            let Some(next) = page["next"].as_str() else { break };
            after = format!("&after={}", loamline::page::look::encoded(next));
        }
        assert_eq!(rows, expected, "{table}");
        let lines = pages.get(&format!("/api/v1/{table}?format=jsonl&limit=1")).text();
        let lines: Vec<Value> = lines.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
        assert_eq!(lines, expected, "{table}");
    }
}

#[test]
fn a_token_reads_or_does_all_and_a_revoked_one_nothing() {
    let world = with_readings();
    world.run_with_input(&["password"], b"four plain garden words\n");
    let token = |rights: &str, name: &str| {
        let said = world.run(&["token", "add", rights, name]);
        assert_eq!(said.code, Some(0), "{}", said.err);
        format!("Bearer {}", said.out.trim())
    };
    let (read, full) = (token("--read", "viewer"), token("--full", "gate"));
    let pages = Pages::of(&world);
    let ask = |method: &str, path: &str, word: &str| {
        pages.ask(method, path, &[("Authorization", word)], TABLE.replace("R-100", "R-200").as_bytes()).status
    };
    assert_eq!(pages.get("/api/v1/sites").status, 401);
    assert_eq!((ask("GET", "/api/v1/sites", &read), ask("GET", "/api/v1/sites", &full)), (200, 200));
    assert_eq!(ask("GET", "/api/v1/sites", "Bearer guess"), 401);
    assert_eq!(ask("GET", "/", &full), 303, "a token is for programs");
    let drop = "/api/v1/inbox?name=gate.csv";
    assert_eq!((ask("POST", drop, "Bearer guess"), ask("POST", drop, &read)), (401, 403));
    let origin = format!("http://127.0.0.1:{}", pages.port);
    let form = [("Origin", origin.as_str()), ("Content-Type", "multipart/form-data; boundary=cut")];
    assert_eq!(pages.ask("POST", drop, &form, b"x").status, 401);
    assert_eq!(ask("POST", drop, &full), 201);
    eventually("it is read", || world.export("documents").len() == 2);
    assert!(world.run(&["token", "list"]).out.contains("viewer"));
    assert_eq!(world.run(&["token", "revoke", "viewer"]).code, Some(0));
    assert_eq!(ask("GET", "/api/v1/sites", &read), 401);
}

#[test]
fn p36_an_original_comes_by_its_record_as_a_file_to_keep() {
    let world = World::new();
    world.settings("[watch]\nsettle_seconds = 0.3\n");
    let path = world.give("<b>r\u{e9}port\".csv", TABLE);
    world.ingest(&path);
    let pages = Pages::of(&world);
    let sha256 = world.export("documents")[0]["source_sha256"].as_str().unwrap().to_owned();
    let answer = pages.get(&format!("/documents/{sha256}/original"));
    assert_eq!((answer.status, answer.body.as_slice()), (200, TABLE.as_bytes()));
    assert_eq!(answer.header("content-type"), Some("application/octet-stream"));
    assert!(
        answer.header("content-disposition").unwrap().starts_with("attachment; filename=\"_b_r_port_.csv\"")
    );
    assert!(answer.header("content-security-policy").unwrap().contains("sandbox"));
    for other in ["..%2floamline.db", "loamline.db", &sha256[..16], &"0".repeat(64)] {
        let answer = pages.get(&format!("/documents/{other}/original"));
        assert_eq!(answer.status, 404, "{other}");
    }
}

#[test]
fn a_reading_is_shown_at_its_very_place() {
    let world = with_readings();
    let pages = Pages::of(&world);
    let rows = world.export("readings");
    let row = rows.iter().find(|r| r["raw_value"] == "142").unwrap();
    let site = pages.get(&format!("/sites/{}", row["site"].as_str().unwrap())).text();
    let links = site.split("href=\"/readings/").skip(1).map(|rest| rest.split('"').next().unwrap());
    let shown: Vec<String> = links
        .map(|id| pages.get(&format!("/readings/{id}")).text())
        .filter(|t| t.contains("<mark>142</mark>"))
        .collect();
    assert_eq!(shown.len(), 1, "one reading marks its own cell");
    assert!(shown[0].contains(row["source_box"].as_str().unwrap()), "its address is named");
}
