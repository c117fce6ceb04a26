//! What XML without a standard becomes, and which is left alone.

use super::*;

fn sample(name: &str, results: &str) -> String {
    format!(
        "<Sample><SampleName>{name}</SampleName><DepthTo unit='cm'>25</DepthTo><Results>{results}</Results></Sample>"
    )
}

fn result(name: &str, value: &str) -> String {
    format!("<Result status='final'><Analyte>{name}</Analyte>{value}</Result>")
}

fn file(samples: &str) -> String {
    format!(
        "<?xml version='1.0'?><Report><Laboratory><Name>Moss Room</Name><Address>4 Hob Lane</Address></Laboratory>\
         <DateReceived>2023-01-24</DateReceived><Samples>{samples}</Samples></Report>"
    )
}

fn two() -> String {
    result("pH", "<Value>5.4</Value>") + &result("Zinc", "<Value unit='mg/kg'>&lt;25</Value>")
}

fn table(text: &str) -> Option<Vec<Vec<String>>> {
    let document = open(text, &Limits::default()).ok()?;
    let Content::Cells(cells) = &document.pages.first()?.content else { return None };
    let (height, width) = (cells.iter().map(|c| c.row).max()?, cells.iter().map(|c| c.column).max()?);
    let text =
        |row, column| cells.iter().find(|c| (c.row, c.column) == (row, column)).map(|c| c.text.clone());
    Some((1..=height).map(|r| (1..=width).map(|c| text(r, c).unwrap_or_default()).collect()).collect())
}

#[test]
fn a_record_becomes_a_row_with_what_stands_around_it() {
    let rows = table(&file(&(sample("A1", &two()) + &sample("A2", &two())))).unwrap();
    let heading = [
        "Laboratory Name",
        "Date Received",
        "Sample Name",
        "Depth To (cm)",
        "status",
        "Analyte",
        "Value",
        "Unit",
    ];
    assert_eq!(rows[0], heading);
    assert_eq!(rows[2], ["Moss Room", "2023-01-24", "A1", "25", "final", "Zinc", "<25", "mg/kg"]);
    assert_eq!(rows[3][2..7], ["A2", "25", "final", "pH", "5.4"]);
    assert_eq!(rows.len(), 5);
}

#[test]
fn a_unit_that_all_values_share_stands_over_them() {
    let metals = ["Zinc", "Iron"].map(|name| result(name, "<Value uom='mg/kg'>2.5</Value>")).concat();
    let rows = table(&file(&(sample("A1", &metals) + &sample("A2", &metals)))).unwrap();
    assert_eq!(rows[0].last().unwrap(), "Value (mg/kg)");
    assert_eq!(rows[1].last().unwrap(), "2.5");
}

#[test]
fn what_may_be_lost_or_mixed_up_is_left_alone() {
    let with = |results: &str| holds_records(&file(&(sample("A1", results) + &sample("A2", &two()))));
    assert!(with(&two()));
    let former = two() + "</Results><FormerResults>" + &two() + "</FormerResults><Results>";
    let signed = two() + &result("K", "<Value sign='below'>25</Value>");
    let mixed = two() + &result("K", "about <Value>25</Value>");
    let ranges = two() + &result("K", "<Value>25</Value><Range><Low>4</Low></Range>");
    let double = two() + &result("K", "<Value>25</Value><Value>26</Value>");
    let numbers = two() + &result("K", "<Value>25</Value><Result>26</Result>");
    let strange = two() + &result("K", "<Value>25</Value><Operator>LT</Operator>");
    for text in [former, signed, mixed, ranges, double, numbers, strange] {
        assert!(!with(&text), "{text}");
    }
    for text in ["<?xml version='1.0'?><orders/>", "<a><b>1</b></a>", "<a><b>1</b><b>2</b></a>"] {
        assert!(!holds_records(text), "{text}");
    }
    // Former results, wishes, and names of which nothing is known.
    let whole = file(&(sample("A1", &two()) + &sample("A2", &two())));
    for (one, other) in [("Results>", "PreviousResults>"), ("Sample>", "Target>"), ("Value", "Aim")] {
        assert!(!holds_records(&whole.replace(one, other)), "{other}");
    }
    let beside = "<Former><Analyte>K</Analyte><Value>9</Value></Former><Results>";
    assert!(!holds_records(&whole.replacen("<Results>", beside, 1)));
    let layers = whole.replacen("unit='cm'>25", "unit='in'>25", 1);
    assert!(table(&layers).is_none());
}

#[test]
fn names_come_apart_at_their_capitals() {
    for (name, apart) in [
        ("DateReceived", "Date Received"),
        ("pH", "pH"),
        ("date_received", "date received"),
        ("ReportID", "Report ID"),
    ] {
        assert_eq!(words(name), apart);
    }
    assert_eq!(within("Client", "Name"), "Client Name");
    assert_eq!(within("Sample", "SampleName"), "Sample Name");
}

#[test]
fn a_layer_told_by_attributes_stands_under_their_names_in_its_unit() {
    let layer = |attributes: &str| {
        let of = |name: &str| {
            format!(
                "<Sample><SampleName>{name}</SampleName><Depth {attributes}/><Results>{}</Results></Sample>",
                two()
            )
        };
        table(&file(&(of("A1") + &of("A2"))))
    };
    let rows = layer("top='0' bottom='30' unit='cm'").unwrap();
    for (heading, text) in [("Depth top (cm)", "0"), ("Depth bottom (cm)", "30")] {
        let column = rows[0].iter().position(|h| h == heading);
        assert_eq!(column.map(|at| rows[1][at].as_str()), Some(text), "{rows:?}");
    }
    for strange in ["top='0' bottom='30'", "top='0' bottom='30' unit='cm' basis='wet'"] {
        assert!(layer(strange).is_none(), "{strange}");
    }
    let range = format!("{}<Range low='5' high='7'/>", "<Value>5.4</Value>");
    let file = file(&(sample("A1", &result("pH", &range)) + &sample("A2", &two())));
    assert!(table(&file).is_none(), "what a record holds by attributes alone is not known");
}
