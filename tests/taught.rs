//! What is settled once is remembered for the form of that laboratory: one more witness, never against the chemistry.

use super::world::World;

/// A form that prints no units, with cations and their capacity.
fn form(year: &str, values: &str) -> String {
    format!(
        "Laboratory,Harrowby Soil House\nClient,J. Orchard\nReport,H-{year}\nDate reported,{year}-05-06\n\n\
         Sample ID,Date sampled,pH (1:1 water),Phosphorus (Mehlich-3),Zinc (Mehlich-3),Manganese (Mehlich-3)\n\
         Front lawn,{year}-04-20,{values}\n"
    )
}

fn ok(w: &World, args: &[&str]) -> String {
    let said = w.run(args);
    assert_eq!(said.code, Some(0), "{args:?}: {} {}", said.out, said.err);
    said.out
}

fn held(w: &World) -> Vec<serde_json::Value> {
    serde_json::from_str(&w.run(&["held", "--json"]).out).unwrap()
}

fn row(w: &World, year: i64, analyte: &str) -> serde_json::Value {
    let rows = w.export("readings");
    rows.into_iter().find(|r| r["season"] == year && r["analyte"] == analyte).unwrap()
}

/// Teaches that the three results without a unit are pounds per acre.
fn taught(w: &World) -> String {
    w.ingest(&w.give("2021.csv", form("2021", "6.4,62,8,40")));
    let keys: Vec<String> = held(w).iter().map(|r| r["reading"]["id"].to_string()).collect();
    assert_eq!(keys.len(), 3, "a result without a unit waits");
    let mut args = vec!["settle", "unit", "lb/acre", "--teach", "--who", "Robin"];
    args.extend(keys.iter().map(String::as_str));
    ok(w, &args)
}

#[test]
fn a_unit_taught_once_reads_the_next_report_on_that_form() {
    let w = World::new();
    let said = taught(&w);
    assert!(said.contains("Taught rule 1"), "{said}");
    assert_eq!(row(&w, 2021, "phosphorus")["value"], 31.0);
    assert_eq!(w.ingest(&w.give("2022.csv", form("2022", "6.3,60,8.2,42"))).code, Some(0));
    let p = row(&w, 2022, "phosphorus");
    assert_eq!((p["value"].as_f64(), p["status"].as_str()), (Some(30.0), Some("accepted")));
    let list = ok(&w, &["taught"]);
    assert!(list.contains("Robin") && list.contains("2021.csv") && list.contains("1 reading"), "{list}");
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn another_laboratory_or_another_form_is_not_read_by_it() {
    let w = World::new();
    taught(&w);
    let other = form("2022", "6.3,60,8.2,42").replace("Harrowby Soil House", "Vandermoor Soil Rooms");
    assert_eq!(w.ingest(&w.give("other-lab.csv", other)).code, Some(3));
    let form = form("2023", "6.3,60,8.2,42").replace("Phosphorus (Mehlich-3)", "Phosphorus M3 extract");
    assert_eq!(w.ingest(&w.give("other-form.csv", form)).code, Some(3));
    assert_eq!(row(&w, 2023, "phosphorus")["status"], "held");
}

#[test]
fn a_printed_unit_goes_before_what_was_taught() {
    let w = World::new();
    taught(&w);
    let stated =
        form("2022", "6.3,30,8.2,42").replace("Phosphorus (Mehlich-3)", "Phosphorus (Mehlich-3) ppm");
    w.ingest(&w.give("2022.csv", stated));
    assert_eq!(row(&w, 2022, "phosphorus")["value"], 30.0);
}

#[test]
fn a_forgotten_rule_lets_nothing_in_and_what_rested_on_it_waits() {
    let w = World::new();
    taught(&w);
    w.ingest(&w.give("2022.csv", form("2022", "6.3,60,8.2,42")));
    let accepted = w.export("readings");
    let said = ok(&w, &["taught", "forget", "1", "--who", "Kim"]);
    assert!(said.contains("1 reading waits"), "{said}");
    assert_eq!(held(&w).len(), 1);
    assert_eq!(w.ingest(&w.give("2023.csv", form("2023", "6.3,58,8.2,42"))).code, Some(3));
    let decision: String =
        said.split("decision ").nth(1).unwrap().chars().take_while(char::is_ascii_digit).collect();
    ok(&w, &["undo", &decision, "--who", "Robin"]);
    let back: Vec<_> = w.export("readings").into_iter().filter(|r| r["season"] != 2023).collect();
    assert_eq!(back, accepted);
    assert!(ok(&w, &["settle", "log", "--json"]).contains("\"forget\""));
}

#[test]
fn what_was_taught_never_overrides_the_chemistry() {
    let w = World::new();
    // Two forms alike; on the second the cations close on the capacity as mg/kg alone.
    let form = |year: &str, values: &str| {
        format!(
            "Laboratory,Harrowby Soil House\nClient,J. Orchard\nReport,H-{year}\nDate reported,{year}-05-06\n\n\
             Sample ID,Date sampled,pH (1:1 water),Potassium (Mehlich-3),Calcium (Mehlich-3),Magnesium (Mehlich-3),Sodium (Mehlich-3),CEC meq/100g\n\
             Front lawn,{year}-04-20,{values}\n"
        )
    };
    // Without a capacity nothing says which unit it is.
    w.ingest(&w.give("2021.csv", form("2021", "7.1,400,4800,720,46,")));
    let keys: Vec<String> = held(&w).iter().map(|r| r["reading"]["id"].to_string()).collect();
    assert_eq!(keys.len(), 4);
    let mut args = vec!["settle", "unit", "lb/acre", "--teach", "--who", "Robin"];
    args.extend(keys.iter().map(String::as_str));
    ok(&w, &args);
    assert_eq!(w.ingest(&w.give("2022.csv", form("2022", "7.1,400,4800,720,46,15.6"))).code, Some(0));
    assert_eq!(row(&w, 2022, "calcium")["value"], 2400.0);
    assert_eq!(w.ingest(&w.give("2023.csv", form("2023", "7.1,200,2400,360,23,15.6"))).code, Some(3));
    let calcium = row(&w, 2023, "calcium");
    assert_eq!((calcium["status"].as_str(), calcium["value"].as_f64()), (Some("held"), Some(2400.0)));
    assert!(calcium["doubt"].as_str().unwrap().contains("chemistry"), "{calcium}");
}

#[test]
fn a_sample_without_a_name_is_taught_for_its_form() {
    let w = World::new();
    let letter = |year: &str| {
        format!(
            "Laboratory,Harrowby Soil House\nReport,H-{year}\nDate reported,{year}-05-06\nSample ID,Lawn\n\n\
             Test,Result,Unit\npH (1:1 water),6.4,\nPhosphorus (Mehlich-3),31,ppm\nPotassium (Mehlich-3),142,ppm\n"
        )
    };
    assert_eq!(w.ingest(&w.give("2021.csv", letter("2021"))).code, Some(3));
    let key = held(&w)[0]["reading"]["id"].to_string();
    ok(&w, &["settle", "assign", "home", &key, "--new", "Home", "--teach", "--who", "Robin"]);
    assert_eq!(w.ingest(&w.give("2022.csv", letter("2022"))).code, Some(0));
    assert_eq!(row(&w, 2022, "ph")["site"], "home");
}

#[test]
fn what_is_about_one_number_cannot_be_taught() {
    let w = World::new();
    w.ingest(&w.give("a.csv", form("2021", "64,62,8,40")));
    let rows = held(&w);
    let ph = rows.iter().find(|r| r["reading"]["analyte"] == "ph").unwrap()["reading"]["id"].to_string();
    let said = w.run(&["settle", "accept", &ph, "--teach", "--who", "Robin"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("next report"), "{}", said.err);
}

#[test]
fn a_column_looked_into_once_is_read_next_time() {
    let w = World::new();
    let form =
        |year: &str| form(year, "6.4,31,8,40").replace("Phosphorus (Mehlich-3)", "Phosphorus Zorb ppm");
    w.ingest(&w.give("2021.csv", form("2021")));
    let rows = held(&w);
    let of = |name: &str| {
        rows.iter().find(|r| r["reading"]["analyte"] == name).unwrap()["reading"]["id"].to_string()
    };
    let p = of("phosphorus");
    assert!(ok(&w, &["settle", "accept", &p, "--teach", "--who", "Robin"]).contains("Taught rule 1"));
    w.ingest(&w.give("2022.csv", form("2022")));
    assert_eq!(row(&w, 2022, "phosphorus")["status"], "accepted");
    assert_eq!(row(&w, 2022, "zinc")["status"], "held", "another column of the form was not looked into");
}

#[test]
fn a_method_taught_once_names_the_next_report_s_and_a_printed_one_stays() {
    let w = World::new();
    let form = |year: &str, head: &str| form(year, "6.4,31,8,40").replace("Phosphorus (Mehlich-3)", head);
    w.ingest(&w.give("2021.csv", form("2021", "Phosphorus ppm")));
    let said = ok(&w, &["history", "j-orchard-front-lawn", "--json"]);
    let rows: Vec<serde_json::Value> = serde_json::from_str(&said).unwrap();
    let p = rows.iter().find(|r| r["analyte"] == "phosphorus").unwrap();
    assert_eq!(p["method"], "unstated");
    ok(&w, &["settle", "method", "olsen", &p["id"].to_string(), "--teach", "--who", "Robin"]);
    w.ingest(&w.give("2022.csv", form("2022", "Phosphorus ppm")));
    assert_eq!(row(&w, 2022, "phosphorus")["method"], "olsen");
    w.ingest(&w.give("2023.csv", form("2023", "Phosphorus (Bray P1) ppm")));
    assert_eq!(row(&w, 2023, "phosphorus")["method"], "bray-p1");
    assert_eq!(w.run(&["settle", "method", "guesswork", &p["id"].to_string(), "--who", "R"]).code, Some(1));
}
