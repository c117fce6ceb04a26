//! How deep the layers of a table lie.

use super::reports;
use crate::soil::Depth;

fn layers(heading: &str, depths: [&str; 2], note: &str) -> Vec<(Option<Depth>, bool)> {
    let row = |depth: &str, number| format!("Moss bank     {number}     {depth:<17}7.5     43     93");
    let rows = [row(depths[0], "30551"), row(depths[1], "30552")];
    let found = reports(&[&[
        "Client: Moss Trust     Report: 4471",
        "Sampled: Oct 25, 2024",
        "",
        heading,
        "                                         ppm    ppm",
        &rows[0],
        &rows[1],
        "",
        "",
        note,
    ]]);
    found.iter().flat_map(|r| &r.samples).map(|s| (s.depth, s.doubts.is_empty())).collect()
}

#[test]
fn layers_have_the_unit_that_a_sentence_gives_them() {
    let heading = "Field         Lab no.   Sampling depth   pH      P      K";
    let cm = |top_cm, bottom_cm| (Some(Depth { top_cm, bottom_cm }), true);
    let of = |note| layers(heading, ["0-300", "300-600"], note);
    assert_eq!(of("Depth in mm. P by Olsen."), [cm(0.0, 30.0), cm(30.0, 60.0)]);
    assert_eq!(
        layers(heading, ["0-30", "30-60"], "Depths are given in cm."),
        [cm(0.0, 30.0), cm(30.0, 60.0)]
    );
    // A unit of its own goes before.
    let own = layers(heading, ["0-30 cm", "30-60 cm"], "Depth in mm.");
    assert_eq!(own, [cm(0.0, 30.0), cm(30.0, 60.0)]);
    // Of two layers of one name nobody knows how deep they lie.
    assert!(
        of("P by Olsen.").iter().all(|(depth, sure)| depth.is_none() && !sure),
        "{:?}",
        of("P by Olsen.")
    );
}
