//! Tables and cards side by side: which sample each is of, and what the columns of each hold.

use super::{reading, reports, sample, value};

#[test]
fn a_line_of_units_over_columns_heads_them_and_names_no_sample() {
    for (first, amount, share) in
        [("Cation", "meq/100g", "% Sat."), ("Base", "cmol/kg", "% of CEC"), ("", "me/100 g", "Sat. %")]
    {
        let head = format!("Test        Result   Unit    {first:<12}{amount:<12}{share}");
        let found = reports(&[&[
            "Soil test report",
            "Sample: Moss bank     Lab # 7-1",
            "",
            &head,
            "pH          5.6              Calcium     7.8         50.0",
            "Phosphorus  38       ppm     Magnesium   2.7         17.3",
            "Boron       0.4      ppm     Potassium   0.80        5.1",
            "Zinc        1.4      ppm     Sodium      0.10        0.6",
            "Iron        44       ppm     Hydrogen    4.2         26.9",
            "Copper      1.1      ppm     CEC (sum)   15.6",
            "",
            "Soil test report",
            "Sample: Fern bank     Lab # 7-2",
            "",
            &head,
            "pH          6.0              Calcium     9.3         60.0",
            "Phosphorus  31       ppm     Magnesium   2.6         16.8",
            "Boron       0.6      ppm     Potassium   0.62        4.0",
            "Zinc        1.9      ppm     Sodium      0.08        0.5",
            "Iron        50       ppm     Hydrogen    2.9         18.7",
            "Copper      1.3      ppm     CEC (sum)   15.5",
        ]]);
        let moss = sample(&found, "Moss bank");
        assert_eq!(value(moss, "sat_ca"), (50.0, true), "{head}");
        assert_eq!(value(moss, "sat_h"), (26.9, true), "{head}");
        assert_eq!(value(moss, "cec"), (15.6, true), "{head}");
        assert_eq!(reading(moss, "calcium").printed.value, "7.8");
        assert!(value(moss, "calcium").1 && value(moss, "potassium").1, "{moss:?}");
        assert_eq!(value(sample(&found, "Fern bank"), "sat_k"), (4.0, true), "{head}");
        assert_eq!(value(sample(&found, "Fern bank"), "iron"), (50.0, true), "{head}");
    }
}

#[test]
fn columns_of_amounts_that_agree_are_one_reading_and_others_wait() {
    let found = |second: &str, magnesium: &str| {
        reports(&[&[
            "Soil test report",
            "Sample: Moss bank     Lab # 7-1",
            "",
            &format!("Nutrient     mg/kg    {second:<11} % Sat."),
            "pH           5.6",
            "Calcium      1563     7.80        50.0",
            &format!("Magnesium    328      {magnesium:<11} 17.3"),
            "Potassium    313      0.80        5.1",
            "Sodium       23       0.10        0.6",
        ]])
    };
    let agreed = found("cmol/kg", "2.70");
    let moss = sample(&agreed, "Moss bank");
    assert_eq!(value(moss, "calcium"), (1563.0, true), "{moss:?}");
    assert_eq!(value(moss, "sat_mg"), (17.3, true), "{moss:?}");
    let unlike = found("cmol/kg", "2.07");
    assert!(!value(sample(&unlike, "Moss bank"), "magnesium").1);
    // A rate of what to spread, and a second column of the same unit, are no second print.
    for second in ["kg/ha", "mg/kg"] {
        let rates = found(second, "2.70");
        assert!(!value(sample(&rates, "Moss bank"), "calcium").1, "{second}");
    }
}

#[test]
fn names_over_tables_side_by_side_are_each_of_their_own() {
    let card = |first: &str, second: &str| {
        reports(&[&[
            "Quill turf laboratory",
            "Prepared for: Hob Mill Golf Club     Report QT-417     Received 6 March 2023",
            "",
            first,
            "",
            "Test         Result    Unit   Target            Test         Result    Unit   Target",
            "pH           6.4              6.0 - 7.0         pH           6.6              6.0 - 7.0",
            "Phosphorus   49        ppm    26 - 54           Phosphorus   53        ppm    26 - 54",
            "Calcium      607       ppm    500 - 900         Calcium      753       ppm    500 - 900",
            "",
            second,
            "",
            "Test         Result    Unit   Target",
            "pH           6.1              6.0 - 7.0",
            "Phosphorus   31        ppm    26 - 54",
            "Calcium      512       ppm    500 - 900",
        ]])
    };
    let found = card(
        "Green 1                   Lab # 7701            Tee 4                     Lab # 7702",
        "Fern walk    Lab # 7703   Depth 0-4 in",
    );
    for (name, number, calcium) in
        [("Green 1", "7701", 607.0), ("Tee 4", "7702", 753.0), ("Fern walk", "7703", 512.0)]
    {
        let s = sample(&found, name);
        assert_eq!(value(s, "calcium"), (calcium, true), "{name}");
        assert_eq!(s.lab_number.as_deref(), Some(number));
        assert!(s.doubts.is_empty(), "{s:?}");
    }
    assert!(sample(&found, "Fern walk").depth.is_some());
    // A word of a title is no name; one name over two tables is of neither; a name that stands twice tells nothing.
    for (first, second) in [
        (
            "Soil analysis             Lab # 7701            Soil results              Lab # 7702",
            "Soil analysis   Lab # 7703",
        ),
        ("Green 1                   Lab # 7701", "Fern walk    Lab # 7703"),
        (
            "Report 14                 Lab # 7701            Report 15                 Lab # 7702",
            "Fern walk    Lab # 7703",
        ),
        (
            "Green 1                   Lab # 7701            Green 1                   Lab # 7702",
            "Fern walk    Lab # 7703",
        ),
    ] {
        let found = card(first, second);
        let unsure =
            |s: &crate::soil::Sample| !s.doubts.is_empty() || s.readings.iter().any(|r| !r.doubts.is_empty());
        let green = |s: &&crate::soil::Sample| s.label != "Fern walk";
        let all = || found.iter().flat_map(|r| &r.samples);
        assert!(all().filter(green).all(unsure), "{first}: {found:?}");
    }
}

#[test]
fn rows_that_are_ways_of_counting_one_sample_count_it_so() {
    let found = |share: &str, index: &str| {
        reports(&[&[
            "Soil test report",
            "Client: Moss Trust",
            "Sample name: Ridge block     Received: 8 May 2023",
            "",
            "Analysis                 Level found   Medium range",
            "pH           pH units    6.0           5.8 - 6.2",
            "Potassium    me/100g     0.66          0.40 - 0.60",
            "Calcium      me/100g     10.3          4.0 - 10.0",
            "Magnesium    me/100g     2.24          1.00 - 1.60",
            "Sodium       me/100g     0.14          0.20 - 0.50",
            "CEC          me/100g     17            12 - 25",
            "",
            &format!("{share:<21}K       Ca      Mg      Na"),
            "                     4.0     61.9    13.5    0.9",
            &format!("{index:<21}13      16      54      7"),
        ]])
    };
    let read = found("Base saturation %", "MAF units");
    let ridge = sample(&read, "Ridge block");
    assert_eq!(value(ridge, "sat_ca"), (61.9, true), "{ridge:?}");
    assert_eq!(value(ridge, "sat_k"), (4.0, true));
    assert_eq!(reading(ridge, "potassium").printed.value, "0.66");
    assert!(value(ridge, "potassium").1 && value(ridge, "ph").1, "{ridge:?}");
    assert!(ridge.readings.iter().all(|r| !["13", "16", "54", "7"].contains(&r.printed.value.as_str())));
    // A scale that nobody knows is not dropped as if it were known, and not taken either.
    let read = found("Base saturation %", "Quibble units");
    let ridge = sample(&read, "Ridge block");
    assert!(ridge.readings.iter().all(|r| r.printed.value != "54" || !r.doubts.is_empty()), "{ridge:?}");
    // The same with the amounts in the same table, and with what is wished for.
    let rows = reports(&[&[
        "Soil test report",
        "Client: Moss Trust",
        "Sample name: Ridge block     Received: 8 May 2023",
        "",
        "                     K       Ca      Mg      Na",
        "mg/kg                127     1065    118     23",
        "cmol(+)/kg           0.33    5.32    0.97    0.10",
        "% of CEC             4.5     72.7    13.3    1.4",
        "Desired % of CEC     5.0     70.0    15.0    1.0",
    ]]);
    let ridge = sample(&rows, "Ridge block");
    assert_eq!(value(ridge, "calcium"), (1065.0, true), "{ridge:?}");
    assert_eq!(value(ridge, "sat_k"), (4.5, true), "{ridge:?}");
    assert!(ridge.readings.iter().all(|r| r.printed.value != "70.0"), "{ridge:?}");
    assert_eq!(rows.iter().flat_map(|r| &r.samples).count(), 1);
    let former = reports(&[&[
        "Soil test report",
        "Client: Moss Trust",
        "Sample name: Ridge block     Received: 8 May 2023",
        "",
        "                     K       Ca      Mg      Na",
        "cmol/kg              0.33    5.32    0.97    0.10",
        "cmol/kg in 2019      0.43    6.32    0.77    0.20",
    ]]);
    let all = || former.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all().all(|r| r.printed.value != "6.32" || !r.doubts.is_empty()), "{former:?}");
    // A piece of ground that is called like a column of wishes is not lost.
    let range = reports(&[&[
        "Soil test report",
        "             pH      K ppm   Ca ppm",
        "Green 1      6.1     40      610",
        "Target       6.4     43      660",
    ]]);
    let all = || range.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all().any(|r| r.printed.value == "660"), "{range:?}");
    let bare = reports(&[&[
        "Soil test report",
        "             pH      K       Ca",
        "Green 1      6.1     40      610",
        "Target       6.4     43      660",
    ]]);
    let all = || bare.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all().any(|r| r.printed.value == "660"), "{bare:?}");
    // Rows of samples stay rows of samples.
    let rows = reports(&[&[
        "Soil test report",
        "Sample      K       Ca      Mg      Na",
        "Ridge       0.40    6.1     1.35    0.09",
        "Moss        0.43    6.6     1.54    0.07",
    ]]);
    assert_eq!(reading(sample(&rows, "Moss"), "calcium").printed.value, "6.6");
}

#[test]
fn a_share_of_the_capacity_is_no_second_measurement() {
    for share in ["% of CEC", "% of the CEC", "% van KUK"] {
        let found = reports(&[&[
            "Soil test report",
            "",
            "Sample ID   pH     CEC        K       Ca              Mg",
            &format!("                   meq/100g   mg/kg   {share:<15} {share}"),
            "Moss        6.1    6.5        95      63              16",
            "Fern        5.5    5.5        54      53              12",
        ]]);
        let moss = sample(&found, "Moss");
        let accepted = moss.readings.iter().any(|r| r.analyte.id() == "sat_ca" && r.doubts.is_empty());
        assert!(accepted, "{share}: {moss:?}");
    }
}

#[test]
fn the_second_print_in_another_unit_agrees_with_the_first_or_waits() {
    let found = reports(&[&[
        "Soil test report",
        "Farmer: Moss Trust     Depth: 0-30 cm    Date received: 2023/07/18",
        "",
        "                                     Exchangeable cations (mg/kg)       Exchangeable cations (cmol(+)/kg)",
        "Lab no   Land         pH (KCl)       K       Ca      Mg      Na         K       Ca      Mg      Na",
        "6620     Kraalland    5.5            127     1065    118     23         0.33    5.32    0.97    0.10",
        "6621     Sirkel 1     5.6            120     1189    123     18         0.31    5.93    1.01    0.08",
        "6622     Sirkel 2     5.4            63      962     80      24         0.16    5.80    0.66    0.10",
    ]]);
    let land = sample(&found, "Kraalland");
    assert_eq!(value(land, "potassium"), (127.0, true), "{land:?}");
    assert_eq!(value(land, "calcium"), (1065.0, true));
    assert_eq!(value(land, "sodium"), (23.0, true));
    let shares = reports(&[&[
        "Soil test report",
        "Farmer: Moss Trust     Depth: 0-30 cm    Date received: 2023/07/18",
        "",
        "                       Exchangeable, cmol(+)/kg         Base saturation %",
        "Sample       pH       K       Ca      Mg      Na       K       Ca      Mg      Na",
        "Kraalland    5.5      0.33    5.32    0.97    0.10     4.5     72.7    13.3    1.4",
        "Sirkel 1     5.6      0.31    5.93    1.01    0.08     3.9     73.7    12.5    1.0",
    ]]);
    let land = sample(&shares, "Kraalland");
    assert_eq!(value(land, "sat_k"), (4.5, true), "{land:?}");
    assert_eq!(value(land, "sat_na"), (1.4, true));
    assert_eq!(reading(land, "potassium").printed.value, "0.33");
    assert!(value(land, "potassium").1 && value(land, "sodium").1, "{land:?}");
    let former = reports(&[&[
        "Soil test report",
        "Farmer: Moss Trust     Depth: 0-30 cm    Date received: 2023/07/18",
        "",
        "                        2023, mg/kg                     2019, cmol/kg",
        "Sample       pH       K       Ca      Mg      Na       K       Ca      Mg      Na",
        "Kraalland    5.5      127     1065    118     23       0.33    5.32    0.97    0.10",
        "Sirkel 1     5.6      120     1189    123     18       0.31    5.93    1.01    0.08",
    ]]);
    let all = || former.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all().all(|r| r.printed.value != "0.97" || !r.doubts.is_empty()), "{former:?}");
    // 962 mg/kg of calcium are 4.80 cmol(+)/kg.
    assert!(!value(sample(&found, "Sirkel 2"), "calcium").1);
}

#[test]
fn seasons_side_by_side_under_one_name_over_their_units() {
    for names in [
        "Sample    Lab       Organic     Soil pH     Phosphorus M3   Potassium M3    Calcium",
        "Sample    Lab       Organic   Soil pH        Phosphorus M3  Potassium M3    Calcium",
        "Sample    Lab       Organic       Soil pH  Phosphorus M3   Potassium M3     Calcium",
    ] {
        let found = reports(&[&[
            "Soil test report",
            "Account: Moss Trust     Report AC-24     Received: Sep 9, 2024",
            "",
            names,
            "ID        number    matter %  2024   2021    2024   2021    2024   2021     M3",
            "                                             ppm    ppm     ppm    ppm      ppm",
            "Alder N   331801    2.9       6.8    6.9     40     45      251    243      3,247",
            "Birch S   331802    3.0       6.1    5.9     56     66      285    315      2,479",
            "Cress     331803    2.9       6.3    6.5     53     65      228    187      2,567",
        ]]);
        let alder = sample(&found, "Alder N");
        assert_eq!(value(alder, "ph"), (6.8, true), "{names} {alder:?}");
        assert_eq!(value(alder, "phosphorus"), (40.0, true), "{names} {alder:?}");
        assert_eq!(value(alder, "potassium"), (251.0, true), "{names}");
        assert_eq!(value(alder, "calcium"), (3247.0, true));
        let former = |text: &str| ["45", "243", "6.9"].contains(&text);
        assert!(alder.readings.iter().all(|r| !former(&r.printed.value)), "{alder:?}");
    }
}

#[test]
fn columns_of_seasons_long_before_the_reports_own_wait() {
    let found = reports(&[&[
        "Soil test report",
        "Account: Moss Trust     Report AC-24     Received: Sep 9, 2024",
        "",
        "Sample      pH 2021   pH 2018   K 2021   K 2018   Organic matter",
        "                                ppm      ppm      %",
        "Alder N     6.8       6.9       251      243      2.9",
        "Birch S     6.1       5.9       285      315      3.0",
    ]]);
    let alder = sample(&found, "Alder N");
    assert_eq!(value(alder, "ph"), (6.8, false), "{alder:?}");
    assert_eq!(value(alder, "organic_matter"), (2.9, true), "{alder:?}");
}
