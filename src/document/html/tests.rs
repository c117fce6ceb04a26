//! What a page becomes, and what a hostile one cannot do.

use super::*;

fn read(html: &str) -> Vec<(u32, u32, String)> {
    let page = page(html, None, Format::Html, &Limits::default()).unwrap();
    let Content::Cells(cells) = page.content else { panic!() };
    cells.into_iter().map(|c| (c.row, c.column, c.text)).collect()
}

fn at(row: u32, column: u32, text: &str) -> (u32, u32, String) {
    (row, column, text.to_owned())
}

#[test]
fn paragraphs_and_tables_follow_each_other_with_an_empty_row_between() {
    let found = read(
        "<p>Hello,</p><p>report <b>JS-7</b>\n of   May</p><table><tr><th>Sample<th>pH</tr>\
         <tr><td>A</td><td>6.4</td></tr></table>P is Mehlich&nbsp;3.<br>End &lt;1&gt;",
    );
    let expected = [
        at(1, 1, "Hello,"),
        at(3, 1, "report JS-7 of May"),
        at(5, 1, "Sample"),
        at(5, 2, "pH"),
        at(6, 1, "A"),
        at(6, 2, "6.4"),
        at(8, 1, "P is Mehlich 3."),
        at(9, 1, "End <1>"),
    ];
    assert_eq!(found, expected);
}

#[test]
fn spans_keep_the_columns_of_the_cells_after_them() {
    let html =
        "<table><tr><td rowspan=2>Sample<td colspan=2>Mehlich 3<tr><td>P<td>K<tr><td>A<td><td>140</table>";
    let page = page(html, None, Format::Html, &Limits::default()).unwrap();
    let Content::Cells(cells) = page.content else { panic!() };
    let place =
        |text: &str| cells.iter().find(|c| c.text == text).map(|c| (c.row, c.column, c.columns, c.rows));
    assert_eq!(place("Sample"), Some((1, 1, 1, 2)));
    assert_eq!(place("Mehlich 3"), Some((1, 2, 2, 1)));
    assert_eq!(place("K"), Some((2, 3, 1, 1)));
    assert_eq!(place("140"), Some((3, 3, 1, 1)));
}

#[test]
fn a_table_that_only_lays_out_the_page_gives_its_parts_in_order() {
    let found = read(
        "<table><tr><td><h1>Report 7</h1><table><tr><td>pH</td><td>P</td></tr><tr><td>6.4</td><td>22</td></tr></table>\
         P by Olsen.</td></tr><tr><td>Foot</td><td>note</td></tr></table>",
    );
    let texts: Vec<&str> = found.iter().map(|(_, _, t)| t.as_str()).collect();
    assert_eq!(texts, ["Report 7", "pH", "P", "6.4", "22", "P by Olsen.", "Foot", "note"]);
    assert_eq!(found[0].0 + 2, found[1].0);
    assert_eq!((found[3].0, found[3].1), (found[1].0 + 1, 1));
}

#[test]
fn what_is_not_shown_is_not_read() {
    let found = read(
        "<head><title>t</title><style>p{}</style></head><body><script>var a = '<td>9</td>';</script>\
         <p hidden>x<p>seen<div style='color:red; Display : none'><div>y</div>z</div><!-- c -->\
         <table><tr><td style='display:none'>5<td>6.4</table>",
    );
    assert_eq!(found, [at(1, 1, "seen"), at(3, 2, "6.4")]);
}

#[test]
fn a_raised_footnote_mark_is_no_digit_of_the_number() {
    assert_eq!(read("<p>12<sup>2</sup> P<sub>2</sub>O<sub>5</sub></p>"), [at(1, 1, "12² P2O5")]);
}

#[test]
fn lines_of_typed_text_stay_lines() {
    assert_eq!(read("<pre>a  b\nc</pre>d\ne"), [at(1, 1, "a b"), at(2, 1, "c"), at(4, 1, "d e")]);
}

#[test]
fn missing_end_tags_do_no_harm() {
    assert_eq!(read("<table><tr><td>a<td>b<tr><td>c"), [at(1, 1, "a"), at(1, 2, "b"), at(2, 1, "c")]);
    assert_eq!(read("</td></table></p>text"), [at(1, 1, "text")]);
}

#[test]
fn depth_width_and_number_are_bounded() {
    let cause = |html: &str, limits: &Limits| page(html, None, Format::Html, limits).unwrap_err().cause;
    let limits = Limits::default();
    assert_eq!(cause(&"<table><tr><td>".repeat(65), &limits), crate::document::Cause::TooDeep);
    assert!(page(&"<ul><li>".repeat(50_000), None, Format::Html, &limits).is_ok());
    let wide = "<table><tr><td colspan=1000><td colspan=1000>x</table>";
    assert_eq!(cause(wide, &limits), crate::document::Cause::Limit);
    let small = Limits { cells: 3, rows: 2, ..Limits::default() };
    assert_eq!(cause("<table><tr><td>1<td>2<td>3<td>4</table>", &small), crate::document::Cause::Limit);
    assert_eq!(cause("<p>a<p>b", &small), crate::document::Cause::Limit);
}

#[test]
fn a_list_of_names_has_what_is_said_of_each_beside_it() {
    let found =
        read("<h2>4471-1</h2><dl><dt>pH<dd>6.6<dt>Phosphorus, Olsen</dt><dd>4.4 mg/L</dd></dl><p>End");
    let expected = [
        at(1, 1, "4471-1"),
        at(3, 1, "pH"),
        at(3, 2, "6.6"),
        at(4, 1, "Phosphorus, Olsen"),
        at(4, 2, "4.4 mg/L"),
        at(6, 1, "End"),
    ];
    assert_eq!(found, expected);
}

#[test]
fn spans_right_beside_each_other_stand_apart_and_words_in_a_line_do_not() {
    let found = read(
        "<div class=r><span>Sabbia</span><span>335 g/kg</span></div>\n\
         <div class=r><span>Limo</span><span>371 g/kg</span></div>\n<p><span>a</span> <span>b</span> c",
    );
    let expected =
        [at(1, 1, "Sabbia"), at(1, 2, "335 g/kg"), at(2, 1, "Limo"), at(2, 2, "371 g/kg"), at(4, 1, "a b c")];
    assert_eq!(found, expected);
}

#[test]
fn the_lines_of_a_cell_of_pairs_in_a_table_of_one_row_stay_lines() {
    let found = read(
        "<table><tr><td>Moss Soils</td><td>Bulletin VO-23<br>Client : Hob<br>Re\u{e7}u le 3 mai</td></tr></table>",
    );
    let expected = [
        at(1, 1, "Moss Soils"),
        at(3, 1, "Bulletin VO-23"),
        at(4, 1, "Client : Hob"),
        at(5, 1, "Re\u{e7}u le 3 mai"),
    ];
    assert_eq!(found, expected);
    let table = read("<table><tr><th>Sample<th>P<br>mg/kg<tr><td>Moss<td>12</table>");
    assert_eq!(table.len(), 4);
    assert_eq!(table[1], at(1, 2, "P\nmg/kg"));
}
