//! The partitioned data set, read back by another reader than the one who wrote it, says what `export readings` says.

use super::world::{TABLE, World};
use polars::prelude::DataFrame;
use polars_io::SerReader;
use polars_io::prelude::ParquetReader;
use std::fs::File;

fn values(frame: &DataFrame) -> Vec<f64> {
    frame.column("value").unwrap().f64().unwrap().into_no_null_iter().collect()
}

#[test]
fn a_partitioned_set_holds_every_reading_once_under_its_year_and_client() {
    let world = World::new();
    world.ingest(&world.give("one.csv", TABLE));
    let second = TABLE.replace("J. Orchard", "Vale & Sons").replace("2024", "2023").replace("R-100", "R-7");
    world.ingest(&world.give("two.csv", second));
    for _ in 0..2 {
        let said = world.run(&["export", "readings", "--format", "parquet", "--partition", "set"]);
        assert_eq!(
            (said.code, said.out.as_str()),
            (Some(0), "32 readings in 2 files below set.\n"),
            "{}",
            said.err
        );
    }
    let set = world.home().with_file_name("set");
    for (folder, client) in [
        ("year=2024/client=J.%20Orchard", "J. Orchard"),
        ("year=2023/client=Vale%20%26%20Sons", "Vale & Sons"),
    ] {
        let file = File::open(set.join(folder).join("part-0.parquet")).unwrap();
        let frame = ParquetReader::new(file).finish().unwrap();
        let mut told: Vec<f64> = world
            .export("readings")
            .iter()
            .filter(|row| row["client"] == client)
            .map(|row| row["value"].as_f64().unwrap())
            .collect();
        let mut read = values(&frame);
        told.sort_by(f64::total_cmp);
        read.sort_by(f64::total_cmp);
        assert_eq!((read.len(), read), (16, told), "{folder}");
    }
    let said = world.run(&["export", "sites", "--format", "parquet", "--partition", "set"]);
    assert!(
        said.code == Some(1) && said.err.contains("export readings --format parquet --partition"),
        "{}",
        said.err
    );
}
