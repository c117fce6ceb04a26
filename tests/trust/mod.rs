//! Nothing lost, nothing doubled: order of work, failing disks, histories made anew, copies.

mod anew;

mod copies;

mod disk;

mod faults;

mod health;

mod places;

mod power;

mod settings;

mod upgrade;

use super::world::World;

/// A report without a client: its site is not known, so everything waits.
pub fn unassigned() -> String {
    super::world::TABLE.replace("Client,J. Orchard\n", "").replace("R-100", "R-200")
}

pub fn readings(w: &World) -> String {
    export(w, "readings")
}

pub fn export(w: &World, table: &str) -> String {
    let said = w.run(&["export", table, "--format", "jsonl"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    said.out
}

/// Keys of what waits.
pub fn keys(w: &World) -> Vec<String> {
    let rows: Vec<serde_json::Value> = serde_json::from_str(&w.run(&["held", "--json"]).out).unwrap();
    rows.iter().map(|row| row["reading"]["id"].to_string()).collect()
}

pub fn sound(w: &World) {
    let said = w.run(&["verify", "--all"]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
}
