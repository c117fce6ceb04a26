//! The season's plan from outside: what went down, the plan in every form, and the client's letter.

use super::world::{TABLE, World};
use serde_json::Value;

const SETTINGS: &str = r#"
[plan]
from = "Greenacre <Lawn> Care"
[sites.j-orchard-front-lawn]
use = "lawn"
area_ft2 = 8000
species = "tall fescue"
clippings = "returned"
[sites.j-orchard-back-lawn]
use = "lawn"
area_ft2 = 5000
n_lb_per_1000_ft2 = 2
species = "tall fescue"
"#;

const PRODUCTS: &str = r#"
[[product]]
name = "Urea"
analysis = "46-0-0"
package_lb = 50
price = 30
"#;

fn world() -> World {
    let world = World::new();
    world.settings(SETTINGS);
    std::fs::write(world.home().join("products.toml"), PRODUCTS).unwrap();
    let path = world.give("r.csv", TABLE);
    assert_eq!(world.ingest(&path).code, Some(0));
    world
}

fn run(world: &World, args: &[&str]) -> String {
    let said = world.run(&[&["--as-of", "2024-05-20"], args].concat());
    assert_eq!(said.code, Some(0), "{args:?}: {}", said.err);
    said.out
}

fn plan(world: &World, site: &str) -> Value {
    serde_json::from_str(&run(world, &["plan", site, "--json"])).unwrap()
}

#[test]
fn what_went_down_is_counted_and_an_undo_gives_it_back() {
    let world = world();
    let left = |world: &World| plan(world, "j-orchard-back-lawn")["nitrogen"][0]["left"].as_f64().unwrap();
    assert!((left(&world) - 2.0).abs() < 1e-9);
    let add =
        ["applied", "add", "back-lawn", "--product", "urea", "--amount", "5", "--unit", "lb", "--who", "R"];
    assert!(run(&world, &add).contains("0.46 lb N"));
    assert!((left(&world) - 1.54).abs() < 1e-9);
    let listed: Value = serde_json::from_str(&run(&world, &["applied", "list", "--json"])).unwrap();
    assert_eq!(listed[0]["application"]["amount"], 5.0);
    assert!((listed[0]["supplied_kg_per_ha"]["n"].as_f64().unwrap() - 22.459).abs() < 1e-2);
    run(&world, &["applied", "undo", "1", "--who", "R"]);
    assert!((left(&world) - 2.0).abs() < 1e-9);
    let csv = "site,zone,date,product,analysis,amount,unit,area_ft2,who,note\n\
               back-lawn,,2024-05-01,Urea,,1,lb/1000ft2,,R,\nback-lawn,,2024-05-02,,10-10-10,43.56,lb/acre,,R,\n";
    let file = world.give("down.csv", csv);
    run(&world, &["applied", "import", file.to_str().unwrap(), "--who", "R"]);
    assert!((left(&world) - 1.44).abs() < 1e-9);
    let wrong = world.give("wrong.csv", csv.replace("43.56,lb/acre", "43.56,bags"));
    let said =
        world.run(&["--as-of", "2024-05-20", "applied", "import", wrong.to_str().unwrap(), "--who", "R"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("wrong.csv:3:7: ") && said.err.contains("bags"), "{}", said.err);
    assert!((left(&world) - 1.44).abs() < 1e-9, "all of a file or none of it");
    let second = "back-lawn,,2024-05-02,,10-10-10,43.56,lb/acre,,R,";
    for (instead, place, word) in [
        ("no-such,,2024-05-02,,10-10-10,43.56,lb/acre,,R,", "3:1", "no-such"),
        ("back-lawn,east,2024-05-02,,10-10-10,43.56,lb/acre,,R,", "3:2", "east"),
        ("back-lawn,,2024-13-02,,10-10-10,43.56,lb/acre,,R,", "3:3", "2024-13-02"),
        ("back-lawn,,2024-06-02,,10-10-10,43.56,lb/acre,,R,", "3:3", "ahead"),
        ("back-lawn,,2024-05-02,Guano,,43.56,lb/acre,,R,", "3:4", "Guano"),
        ("back-lawn,,2024-05-02,,10-10,43.56,lb/acre,,R,", "3:5", "10-10"),
        ("back-lawn,,2024-05-02,,10-10-10,many,lb/acre,,R,", "3:6", "many"),
        ("back-lawn,,2024-05-02,,10-10-10,0,lb/acre,,R,", "3:6", "above 0"),
        ("back-lawn,,2024-05-02,,10-10-10,1,lb,inf,R,", "3:8", "area"),
        ("back-lawn,,2024-05-02,,10-10-10,1,lb", "3:1", "7 cells"),
    ] {
        let file = world.give("wrong.csv", csv.replace(second, instead));
        let said =
            world.run(&["--as-of", "2024-05-20", "applied", "import", file.to_str().unwrap(), "--who", "R"]);
        let there = format!("wrong.csv:{place}: ");
        assert!(said.code == Some(1) && said.err.contains(&there), "{instead}: {}", said.err);
        assert!(said.err.contains(word), "{instead}: {}", said.err);
    }
    let file = world.give("wrong.csv", csv.replace("area_ft2", "area"));
    let said = world.run(&["applied", "import", file.to_str().unwrap(), "--who", "R"]);
    assert!(said.err.contains("wrong.csv:1:8: ") && said.err.contains("area_ft2"), "{}", said.err);
}

#[test]
fn a_plan_is_told_in_lines_json_csv_and_a_calendar_and_all_sites_together() {
    let world = world();
    let page = run(&world, &["plan", "front-lawn"]);
    for word in ["Put down", "Leave alone", "Sample again", "Urea", "label", "2024-09-01", "lb ("] {
        assert!(page.contains(word), "{word}: {page}");
    }
    let ics = run(&world, &["plan", "front-lawn", "--ics"]);
    let begin = ics.matches("BEGIN:VEVENT").count();
    let made = plan(&world, "j-orchard-front-lawn");
    let events = made["applications"].as_array().unwrap().len() + made["retests"].as_array().unwrap().len();
    assert!(begin == events && begin > 2, "{ics}");
    assert!(ics.starts_with("BEGIN:VCALENDAR\r\n") && ics.ends_with("END:VCALENDAR\r\n"));
    assert_eq!(ics.matches('\n').count(), ics.matches("\r\n").count());
    assert!(ics.lines().all(|line| line.len() <= 75));
    let ids: std::collections::BTreeSet<&str> = ics.lines().filter(|line| line.starts_with("UID:")).collect();
    assert_eq!(ids.len(), begin);
    let csv = run(&world, &["plan", "--all", "--csv"]);
    assert!(
        csv.starts_with("site,zone,season,kind,on,") && csv.contains("j-orchard-back-lawn,whole,2024,apply,")
    );
    let all: Value = serde_json::from_str(&run(&world, &["plan", "--all", "--json"])).unwrap();
    let of = |i: usize| all["plans"][i]["applications"].as_array().unwrap().clone();
    let sum: f64 = (0..all["plans"].as_array().unwrap().len())
        .flat_map(of)
        .filter(|one| one["product"] == "Urea")
        .map(|one| one["total"]["lb"].as_f64().unwrap_or(0.0))
        .sum();
    let urea = all["demand"].as_array().unwrap().iter().find(|one| one["what"] == "Urea").unwrap();
    assert!((urea["amount"]["lb"].as_f64().unwrap() - sum).abs() < 1e-6);
    assert_eq!(urea["packages"].as_f64().unwrap(), (sum / 50.0).ceil());
    // What is loaded day by day is all of it, and no day more than its sites take.
    let loads = all["loads"].as_array().unwrap();
    let loaded: f64 = loads
        .iter()
        .filter(|one| one["what"] == "Urea")
        .map(|one| one["amount"]["lb"].as_f64().unwrap())
        .sum();
    assert!((loaded - sum).abs() < 1e-6 && loads.len() > 1, "{loads:?}");
    let text = run(&world, &["plan", "--all"]);
    assert!(text.contains("To load on each day"), "{text}");
}

#[test]
fn a_letter_is_plain_escaped_and_carries_its_chart() {
    let world = world();
    let path = world.home().join("letter.html");
    run(&world, &["letter", "front-lawn", "-o", path.to_str().unwrap()]);
    let page = std::fs::read_to_string(path).unwrap();
    assert!(page.contains("Greenacre &lt;Lawn&gt; Care") && page.contains("<svg"));
    let words = page.split("<figure>").next().unwrap().to_owned() + page.split("</figure>").nth(1).unwrap();
    for code in ["mehlich-3", "water-1:1", "va-dcr-lawn", "mg/kg", "loss-on-ignition"] {
        assert!(!words.contains(code), "{code}: {words}");
    }
    // Amounts stand here, and so do the cautions; the drawings have words for those who cannot see them.
    for word in ["label", "rain", "Water in", "children", "licensed", "statute"] {
        assert!(words.contains(word), "{word}: {words}");
    }
    assert_eq!(page.matches("<svg").count(), page.matches("role=\"img\"").count());
    assert_eq!(page.matches("<svg").count(), page.matches("<desc>").count());
    for title in
        ["What we measured", "What changed", "What we will do", "What we will leave alone", "Next test"]
    {
        assert!(words.contains(title), "{title}");
    }
}

#[test]
fn a_products_file_that_is_wrong_names_its_line() {
    let world = world();
    std::fs::write(world.home().join("products.toml"), "[[product]]\nname = \"A\"\nanalysis = \"16\"\n")
        .unwrap();
    let said = world.run(&["plan", "front-lawn"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("products.toml:1: ") && said.err.contains("N-P2O5-K2O"), "{}", said.err);
}
