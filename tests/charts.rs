//! The sheets of a site from outside: which there are, and that none tells of a former season.

use crate::world::World;

const TABLE: &str = "\
Laboratory,Example Soil Room
Client,J. Orchard
Report,R-100
Date reported,2024-05-06

Sample ID,Date sampled,pH (1:1 water),Phosphorus (Mehlich-3) ppm,Magnesium (Mehlich-3) ppm
Front lawn,2024-04-20,6.4,31,142
";

#[test]
fn a_site_has_two_sheets_and_one_for_each_measurement_where_that_was_asked_for() {
    let world = World::new();
    let ingest = |name: &str, table: &str| {
        let said = world.run(&["ingest", &world.give(name, table).to_string_lossy()]);
        assert_eq!(said.code, Some(0), "{}", said.err);
    };
    let sheets = || -> Vec<String> {
        let all = world.files("charts");
        all.into_iter().filter(|f| f.contains("front-lawn")).collect()
    };
    let read = |name: &str| {
        let at = sheets().into_iter().find(|f| f.ends_with(name)).unwrap();
        std::fs::read_to_string(world.home().join("charts").join(at)).unwrap()
    };
    ingest("2024.csv", TABLE);
    world.run(&["charts"]);
    assert_eq!(sheets().len(), 2, "{:?}", sheets());
    assert!(read("/main.svg").contains("31 mg/kg") && !read("/main.svg").contains("142 mg/kg"));
    assert!(read("/others.svg").contains("142 mg/kg"));

    world.run(&["charts", "--each"]);
    assert_eq!(sheets().len(), 5, "{:?}", sheets());
    assert!(read("/magnesium.svg").contains("142 mg/kg"));

    ingest("2025.csv", &TABLE.replace("2024", "2025").replace("R-100", "R-101").replace(",142", ",133"));
    world.run(&["nightly"]);
    assert_eq!(sheets().len(), 5, "{:?}", sheets());
    assert!(read("/magnesium.svg").contains("133 mg/kg") && read("/others.svg").contains("133 mg/kg"));
}
