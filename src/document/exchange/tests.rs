//! What a result file becomes, and what a hostile one cannot do.

use super::*;

const SAMPLE: &str = "<SoilSample><Depths><Depth DepthID='1'><NutrientResults>\
    <NutrientResult><Element>P</Element><Value>22.5</Value><ValueUnit>ppm</ValueUnit>\
    <ModusTestID>S-P-M3.01.03</ModusTestID><ValueType>Measured</ValueType></NutrientResult>\
    <NutrientResult><ValueType>Index</ValueType><Value>40</Value><Element>K</Element></NutrientResult>\
    <NutrientResult><Element>pH</Element><Value>6.40</Value><ModusTestID>S-PH-NEW.1</ModusTestID></NutrientResult>\
    </NutrientResults><NutrientRecommendations><NutrientRecommendation RecID='1'><Recommendation>\
    <Element>N</Element><Value>120</Value><ValueUnit>lb/ac</ValueUnit></Recommendation></NutrientRecommendation>\
    </NutrientRecommendations></Depth></Depths><SampleMetaData><SampleNumber>7</SampleNumber>\
    <SampleContainerID>L-70</SampleContainerID><ReportID>1</ReportID></SampleMetaData></SoilSample>";

fn event(kind: &str, samples: &str) -> String {
    format!(
        "<Event><EventSamples><Soil>{samples}<DepthRefs><DepthRef DepthID='1'><StartingDepth>0</StartingDepth>\
         <EndingDepth>6</EndingDepth><DepthUnit>in</DepthUnit></DepthRef></DepthRefs></Soil></EventSamples>\
         <LabMetaData><LabName>Foxgrove</LabName><ReceivedDate>2024-04-02T09:00:00</ReceivedDate><Reports>\
         <Report ReportID='1'><LabReportID>R-9</LabReportID></Report></Reports></LabMetaData><FMISMetaData><FMISProfile>\
         <Grower ID='a'>Marram Links</Grower><Field ID='b'>North</Field></FMISProfile></FMISMetaData><EventMetaData>\
         <EventDate>2024-03-28</EventDate><EventType>{kind}</EventType></EventMetaData></Event>"
    )
}

fn file(events: &str) -> String {
    format!("<?xml version='1.0' encoding='utf-8'?><ModusResult Version='1.0'>{events}</ModusResult>")
}

fn rows(text: &str) -> Vec<Vec<String>> {
    let document = open(text.as_bytes(), &Limits::default()).unwrap();
    let Content::Cells(cells) = &document.pages[0].content else { panic!() };
    let height = cells.iter().map(|c| c.row).max().unwrap();
    let text =
        |row, column| cells.iter().find(|c| (c.row, c.column) == (row, column)).map(|c| c.text.clone());
    (1..=height).map(|row| (1..=14).map(|column| text(row, column).unwrap_or_default()).collect()).collect()
}

#[test]
fn a_result_becomes_a_row_with_what_stands_around_it_in_any_order() {
    let rows = rows(&file(&event("Soil", SAMPLE)));
    assert_eq!(rows.len(), 3);
    assert_eq!(rows[0][6..8], ["Depth from (in)", "Depth to (in)"]);
    let expected = [
        "Foxgrove",
        "R-9",
        "Marram Links",
        "North",
        "L-70",
        "7",
        "0",
        "6",
        "2024-03-28",
        "2024-04-02",
        "P",
        "Mehlich-3 colorimetric",
        "22.5",
        "ppm",
    ];
    assert_eq!(rows[1], expected);
    assert_eq!(rows[2][10..], ["pH", "", "6.40", ""]);
}

#[test]
fn a_number_that_goes_on_from_the_reports_is_the_laboratorys_and_the_clients_id_names_the_sample() {
    let called = |number: &str, own: &str| {
        let sample = SAMPLE.replace(
            "<SampleNumber>7<",
            &format!("<FMISSampleID>{own}</FMISSampleID><SampleNumber>{number}<"),
        );
        let text = file(&event("Soil", &sample)).replace("R-9<", "R-55812<");
        rows(&text)[1][4..6].to_vec()
    };
    assert_eq!(called("55812001", "Levee 1"), ["55812001", "Levee 1"]);
    // Nothing tells whose number it is.
    assert_eq!(called("7001", "Levee 1"), ["7001", ""]);
    assert_eq!(called("7", "7"), ["L-70", "7"]);
    // A key of a program is no name.
    assert_eq!(called("7", "6f1c2b9a-0d4e-4f7a-9b1c-2d3e4f5a6b7c"), ["L-70", "7"]);
}

#[test]
fn index_values_are_passed_over_and_told_and_recommendations_are_no_results() {
    let document = open(file(&event("Soil", SAMPLE)).as_bytes(), &Limits::default()).unwrap();
    assert_eq!(document.notes, ["1 index value was passed over."]);
}

#[test]
fn layers_in_two_units_stand_on_two_pages() {
    let other = event("Soil", SAMPLE).replace("<DepthUnit>in<", "<DepthUnit>cm<");
    let document =
        open(file(&format!("{}{other}", event("Soil", SAMPLE))).as_bytes(), &Limits::default()).unwrap();
    assert_eq!(document.pages.len(), 2);
}

#[test]
fn events_of_plants_are_refused_alone_and_passed_over_beside_soil() {
    let plant = "<Event><EventMetaData><EventType>Plant</EventType></EventMetaData></Event>";
    let refusal = open(file(plant).as_bytes(), &Limits::default()).unwrap_err();
    assert_eq!(refusal.cause, Cause::WrongMatter);
    let both =
        open(file(&format!("{plant}{}", event("Soil", SAMPLE))).as_bytes(), &Limits::default()).unwrap();
    assert!(both.notes.contains(&"1 event that is not of soil passed over.".to_owned()));
}

#[test]
fn a_file_without_results_is_no_report() {
    assert_eq!(open(file("").as_bytes(), &Limits::default()).unwrap_err().cause, Cause::NotAReport);
}

#[test]
fn document_types_entities_depth_and_number_are_bounded() {
    let cause = |text: &str, limits: &Limits| open(text.as_bytes(), limits).unwrap_err().cause;
    let limits = Limits::default();
    let laughs =
        "<!DOCTYPE ModusResult [<!ENTITY a 'aa'><!ENTITY b '&a;&a;'>]><ModusResult>&b;</ModusResult>";
    assert_eq!(cause(laughs, &limits), Cause::Damaged);
    assert_eq!(cause(&format!("<ModusResult>{}", "<Event>".repeat(5_000)), &limits), Cause::TooDeep);
    let small = Limits { rows: 3, ..Limits::default() };
    assert_eq!(cause(&file(&event("Soil", &SAMPLE.repeat(4))), &small), Cause::Limit);
    assert_eq!(cause("<ModusResult><Event>", &limits), Cause::Damaged);
}
