//! Names of samples that look like something else.

use super::{reports, sample, value};

#[test]
fn a_piece_of_ground_is_a_name_though_its_first_word_rates() {
    let page = |heading: &str| {
        reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            heading,
            "pH (1:1 water)              6.3           6.7",
            "Potassium        ppm        264           153",
            "Magnesium        ppm        208           154",
        ]])
    };
    for heading in [
        "Test                        Low field     High field",
        "                            Low field     High field",
        "Test             Unit       Low field     High field",
        "Sample                      Low field     High field",
    ] {
        let found = page(heading);
        assert_eq!(value(sample(&found, "Low field"), "potassium"), (264.0, true), "{heading}");
        assert!(sample(&found, "Low field").doubts.is_empty(), "{heading}");
        assert_eq!(value(sample(&found, "High field"), "magnesium"), (154.0, true), "{heading}");
    }
    let rows = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Field           pH     P ppm    K ppm",
        "Low field       6.3    31       264",
        "High field      6.7    22       153",
    ]]);
    assert_eq!(value(sample(&rows, "High field"), "potassium"), (153.0, true));
    // Between limits and pieces of ground nobody can choose here, and nothing is lost.
    let found = page("Field                       Low           High");
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    let held = |r: &crate::soil::Reading| r.doubts.iter().any(|d| d.alternatives.iter().any(|a| a == "153"));
    assert!(all.iter().flat_map(|s| &s.readings).any(held), "{all:?}");
    assert!(all.iter().flat_map(|s| &s.readings).all(|r| !r.doubts.is_empty()), "{all:?}");
}

#[test]
fn limits_are_no_pieces_of_ground() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Home field",
        "",
        "Test             Unit       Result        Low      High",
        "pH (1:1 water)              6.3           6.0      7.0",
        "Potassium        ppm        264           120      180",
        "Magnesium        ppm        208           100      250",
    ]]);
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert_eq!(all.len(), 1, "{all:?}");
    assert_eq!(value(all[0], "potassium"), (264.0, true));
}

#[test]
fn a_name_with_its_colon_right_over_a_heading_is_no_word_of_it() {
    let form = |name: &'static str| {
        vec![
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            name,
            "",
            "Test                        Soil test result",
            "Buffer pH                   6.8",
            "Organic substance %         6.0",
            "K ppm                       110",
        ]
    };
    let found = reports(&[&form("Sample No.:   North 40 1"), &form("Sample No.:   North 40 2")]);
    for name in ["North 40 1", "North 40 2"] {
        assert_eq!(value(sample(&found, name), "potassium"), (110.0, true));
    }
}

#[test]
fn a_figure_below_a_word_for_ground_is_perhaps_half_a_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                     Plot",
        "                     1",
        "pH                   5.9",
        "Calcium ppm          3756",
        "Magnesium ppm        683",
    ]]);
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert!(!all.is_empty() && all.iter().all(|s| s.label == "Plot 1" || !s.doubts.is_empty()), "{all:?}");
}

#[test]
fn a_plot_called_low_or_control_that_has_a_number_is_held_and_not_dropped() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample      Lab no.    pH     P ppm    K ppm",
        "Moss        606/1      6.3    31       264",
        "Low         606/2      6.5    54       147",
        "Control     606/3      5.9    21       137",
        "Gorse       606/4      6.7    22       153",
        "Control                6.6    25       143",
    ]]);
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert_eq!(all.len(), 4, "{all:?}");
    for number in ["606/2", "606/3"] {
        let plot = all.iter().find(|s| s.lab_number.as_deref() == Some(number)).unwrap();
        assert!(plot.readings.len() == 3 && plot.readings.iter().all(|r| !r.doubts.is_empty()), "{plot:?}");
    }
    assert_eq!(value(sample(&found, "Gorse"), "potassium"), (153.0, true));
}

#[test]
fn a_name_of_one_word_before_a_number_heads_no_columns() {
    let lines = [
        "Quill Soil Room",
        "Report HT-90021                          Received May 18, 2020",
        "Prepared for: Mrs. Ada Fernshaw          Reported May 26, 2020",
        "",
        "-----------------------------------------------------------------------------",
        "SAMPLE: Long border                  Laboratory no. 21-1",
        "",
        "   Test                                Found  Unit      Optimum range     Level",
        "   Soil pH (1:1, water)                  6.3            6.0 - 7.0         OPTIMUM",
        "   Phosphorus (modified Morgan)          8.3  ppm       4 - 14            OPTIMUM",
        "   Potassium (modified Morgan)           169  ppm       100 - 160         HIGH",
        "",
        "-----------------------------------------------------------------------------",
        "SAMPLE: Glebe                        Laboratory no. 21-3",
        "",
        "   Test                                Found  Unit      Optimum range     Level",
        "   Soil pH (1:1, water)                  5.1            6.0 - 7.0         LOW",
        "   Calcium (modified Morgan)             534  ppm       1000 - 1500       LOW",
        "   Magnesium (modified Morgan)            98  ppm       50 - 120          OPTIMUM",
    ]
    .join("\n");
    let page = crate::document::open(lines.as_bytes(), &crate::document::Limits::default()).unwrap();
    let found = super::read(&page).unwrap();
    assert_eq!(value(sample(&found, "Glebe"), "calcium"), (534.0, true));
    assert_eq!(value(sample(&found, "Long border"), "potassium"), (169.0, true));
}
