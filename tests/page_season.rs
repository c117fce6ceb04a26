//! The season of the pages: what `plan --all` says, kept up with whatever changes, and never old without saying so.

use super::page::{Pages, with_readings};
use super::world::{World, eventually};

const SETTINGS: &str = "[watch]\nsettle_seconds = 0.05\n[sites.j-orchard-front-lawn]\nuse = \"lawn\"\nspecies = \"tall fescue\"\nregion = \"oregon\"\narea_ft2 = 8000\n[sites.j-orchard-back-lawn]\nuse = \"lawn\"\nspecies = \"tall fescue\"\nregion = \"oregon\"\narea_ft2 = 3000\n";

/// So that the test says the same on every day.
const DAY: &str = "2025-06-01";

const PRODUCTS: &str =
    "[[product]]\nname = \"Lawn 24-0-6\"\nanalysis = \"24-0-6\"\npackage_lb = 50\nprice = 38\n";

/// Cells of the page's tables, row by row, as a person reads them.
fn rows(page: &str) -> Vec<Vec<String>> {
    let words = |cell: &str| {
        let mut text = String::new();
        let mut inside = false;
        for c in cell.chars() {
            match c {
                '<' => inside = true,
                '>' => inside = false,
                c if !inside => text.push(c),
                _ => {}
            }
        }
        text.trim().to_owned()
    };
    let row = |row: &str| {
        let cells = row.split("<t").skip(1).filter(|cell| cell.starts_with('h') || cell.starts_with('d'));
        cells.map(|cell| words(&format!("<t{cell}"))).collect()
    };
    page.split("<tr").skip(1).map(|part| row(part.split("</tr>").next().unwrap())).collect()
}

/// The page once nothing is outstanding.
fn season(pages: &Pages, address: &str) -> String {
    let whole = |text: &str| text.contains("with everything that the history knows");
    eventually("the season is worked out", || whole(&pages.get(address).text()));
    pages.get(address).text()
}

/// Holds the page against the command line.
fn agrees(world: &World, pages: &Pages, year: Option<&str>) -> serde_json::Value {
    let mut words = vec!["--as-of", DAY, "plan", "--all", "--json"];
    words.extend(year.iter().flat_map(|year| ["--season", *year]));
    let said = world.run(&words);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let plan: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    let page = season(pages, &year.map_or("/season".to_owned(), |year| format!("/season?season={year}")));
    let rows = rows(&page);
    let (demand, days) = (plan["demand"].as_array().unwrap(), plan["days"].as_array().unwrap());
    for one in demand {
        let row = rows.iter().find(|row| row[0].starts_with(one["what"].as_str().unwrap()));
        let row = row.unwrap_or_else(|| panic!("{one} is missing in {rows:?}"));
        assert!(row[1].starts_with(&amount(&one["amount"])), "{one}: {row:?}");
        assert_eq!(row[2], one["packages"].as_u64().map_or(String::new(), |n| n.to_string()));
        assert_eq!(row[4], one["sites"].to_string());
    }
    let is_day = |text: &str| text.len() == 10 && text.parse::<jiff::civil::Date>().is_ok();
    let listed: Vec<[&str; 3]> = rows
        .iter()
        .filter(|row| row.len() == 6 && is_day(&row[0]))
        .map(|row| [row[0].as_str(), row[1].as_str(), row[3].as_str()])
        .collect();
    let days: Vec<[&str; 3]> =
        days.iter().map(|day| ["on", "name", "what"].map(|field| day[field].as_str().unwrap())).collect();
    assert_eq!(listed, days, "{rows:?}");
    let questions: usize =
        plan["plans"].as_array().unwrap().iter().map(|p| p["questions"].as_array().unwrap().len()).sum();
    assert!(page.contains(&format!("{questions} question")), "{questions}");
    plan
}

/// As a person measures it out; the metric half stands behind it.
fn amount(amount: &serde_json::Value) -> String {
    let lb = amount["lb"].as_f64().unwrap();
    match lb {
        lb if lb < 1.0 => String::new(),
        lb if lb >= 99.95 => format!("{lb:.0} lb"),
        lb if lb >= 9.995 => format!("{lb:.1} lb"),
        lb => format!("{lb:.2} lb"),
    }
}

#[test]
fn the_season_is_that_of_the_command_line_and_follows_every_kind_of_change() {
    let world = with_readings();
    world.settings(SETTINGS);
    let pages = Pages::on(&world, DAY);
    let first = agrees(&world, &pages, None);
    assert!(!first["days"].as_array().unwrap().is_empty(), "there is something to agree on: {first}");
    let changed = |what: &str, before: &serde_json::Value| {
        let after = agrees(&world, &pages, None);
        assert_ne!(*before, after, "{what} changes something");
        after
    };
    std::fs::write(world.home().join("products.toml"), PRODUCTS).unwrap();
    let after = changed("a product", &first);
    let words = "applied add j-orchard-front-lawn --amount 30 --unit lb --on 2025-05-01 --who Robin";
    let mut words: Vec<&str> = words.split(' ').collect();
    words.extend(["--product", "Lawn 24-0-6"]);
    let said = world.run(&words);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    let after = changed("what went down", &after);
    let report = super::world::TABLE
        .replace("R-100", "R-101")
        .replace("2024", "2025")
        .replace("6.4,3.9,31,142", "6.3,3.9,9,40");
    let path = world.give("later.csv", report);
    assert_ne!(world.ingest(&path).code, Some(1));
    let after = changed("a report", &after);
    assert_ne!(agrees(&world, &pages, Some("2026")), after, "another season");
}

#[test]
fn a_products_file_that_does_not_fit_is_said_at_once_and_no_older_sum_is_shown() {
    let world = with_readings();
    world.settings(SETTINGS);
    std::fs::write(world.home().join("products.toml"), PRODUCTS).unwrap();
    let pages = Pages::on(&world, DAY);
    season(&pages, "/season");
    std::fs::write(world.home().join("products.toml"), "[[product]]\nname = 3\n").unwrap();
    let answer = pages.get("/season");
    assert!(answer.status == 500 && answer.text().contains("No plan can be made"), "{}", answer.text());
    std::fs::write(world.home().join("products.toml"), PRODUCTS).unwrap();
    season(&pages, "/season");
}

#[test]
fn settings_are_followed_while_the_pages_are_served_and_wrong_ones_are_said() {
    let world = with_readings();
    world.settings(SETTINGS);
    let pages = Pages::on(&world, DAY);
    let first = rows(&season(&pages, "/season"));
    let said = |path: &str| pages.get(path).text().contains("those before stay in force");
    assert!(!said("/season") && !said("/guides"));
    world.settings(&SETTINGS.replace("area_ft2 = 8000", "area_ft2 = -1"));
    eventually("wrong settings are said", || said("/season") && said("/guides"));
    assert_eq!(rows(&season(&pages, "/season")), first);
    world.settings(&SETTINGS.replace("8000", "9000"));
    eventually("other settings, other sums", || rows(&season(&pages, "/season")) != first);
    assert!(!said("/guides"));
    agrees(&world, &pages, None);
}
