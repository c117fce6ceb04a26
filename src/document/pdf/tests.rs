//! Whole files, built in memory.

use super::*;
use crate::document::Turn;
use lopdf::{
    Dictionary, Document as Builder, EncryptionState, EncryptionVersion, Object, Permissions, Stream,
    dictionary,
};

/// A file of one page (600 by 800 points) with this drawing and these extra entries of page and resources.
fn file(drawing: &str, page: Dictionary, shelf: impl FnOnce(&mut Builder) -> Dictionary) -> Builder {
    let mut builder = Builder::with_version("1.5");
    let font = builder.add_object(dictionary! {
        "Type" => "Font", "Subtype" => "Type1", "BaseFont" => "Helvetica", "Encoding" => "WinAnsiEncoding",
    });
    let forms = shelf(&mut builder);
    let contents = builder.add_object(Stream::new(Dictionary::new(), drawing.as_bytes().to_vec()));
    let root = builder.new_object_id();
    let mut leaf = dictionary! {
        "Type" => "Page", "Parent" => root, "Contents" => contents,
        "MediaBox" => vec![0.into(), 0.into(), 600.into(), 800.into()],
        "Resources" => dictionary! { "Font" => dictionary! { "F" => font }, "XObject" => forms },
    };
    leaf.extend(&page);
    let leaf = builder.add_object(leaf);
    builder
        .objects
        .insert(root, dictionary! { "Type" => "Pages", "Kids" => vec![leaf.into()], "Count" => 1 }.into());
    let catalog = builder.add_object(dictionary! { "Type" => "Catalog", "Pages" => root });
    builder.trailer.set("Root", catalog);
    builder.trailer.set("ID", vec![Object::string_literal("one"), Object::string_literal("one")]);
    builder
}

fn bytes(mut builder: Builder) -> Vec<u8> {
    let mut bytes = Vec::new();
    builder.save_to(&mut bytes).unwrap();
    bytes
}

fn read(builder: Builder) -> Result<Document, Refusal> {
    open(&bytes(builder), &Limits::default())
}

fn plain(drawing: &str) -> Builder {
    file(drawing, Dictionary::new(), |_| Dictionary::new())
}

fn words(document: &Document) -> Vec<Word> {
    match &document.pages[0].content {
        Content::Words(words) => words.clone(),
        other => panic!("no words: {other:?}"),
    }
}

fn texts(document: &Document) -> Vec<String> {
    words(document).into_iter().map(|word| word.text).collect()
}

fn cause(result: Result<Document, Refusal>) -> Cause {
    result.unwrap_err().cause
}

/// A form that draws `drawing` and may call the forms of `shelf`.
fn form(builder: &mut Builder, drawing: &str, shelf: Dictionary) -> lopdf::ObjectId {
    let font = dictionary! { "Type" => "Font", "Subtype" => "Type1", "BaseFont" => "Helvetica" };
    let dict = dictionary! {
        "Type" => "XObject", "Subtype" => "Form", "BBox" => vec![0.into(), 0.into(), 600.into(), 800.into()],
        "Matrix" => vec![2.into(), 0.into(), 0.into(), 2.into(), 10.into(), 20.into()],
        "Resources" => dictionary! { "Font" => dictionary! { "F" => font }, "XObject" => shelf },
    };
    builder.add_object(Stream::new(dict, drawing.as_bytes().to_vec()))
}

#[test]
fn a_letter_too_large_for_any_place_is_no_word() {
    for size in ["99999999999999999999999999999999999999", "0.5"] {
        let drawing = format!("BT /F 9 Tf 1 0 0 {size} 0 0 Tm [(p)] TJ ET BT /F 9 Tf 30 30 Td (6.4) Tj ET");
        let document = read(plain(&drawing)).unwrap();
        let places = words(&document);
        assert!(places.iter().all(|word| word.area.y1.is_finite() && word.size.is_finite()), "{places:?}");
        assert!(texts(&document).contains(&"6.4".to_owned()), "{places:?}");
    }
}

#[test]
fn words_have_boxes_from_the_top_left() {
    let document = read(plain("BT /F 10 Tf 100 700 Td (Soil pH) Tj ET")).unwrap();
    let found = words(&document);
    assert_eq!(texts(&document), ["Soil", "pH"]);
    let area = found[0].area;
    assert_eq!((area.x0, area.y0, area.y1, found[0].size), (100.0, 92.0, 102.0, 10.0));
    // Widths of Helvetica: S 667, o 556, i 222, l 222.
    assert!((area.x1 - 116.67).abs() < 0.02, "{area:?}");
}

#[test]
fn a_footnote_mark_beside_a_number_stays_apart() {
    let drawing = "BT /F 10 Tf 100 700 Td (12) Tj /F 6 Tf 4 Ts (2) Tj 0 Ts /F 10 Tf ( ppm) Tj ET";
    assert_eq!(texts(&read(plain(drawing)).unwrap()), ["12", "2", "ppm"]);
}

#[test]
fn a_turned_page_is_read_upright() {
    let drawing = "BT 0 1 -1 0 300 200 Tm /F 10 Tf (Lime) Tj ET";
    let document = read(file(drawing, dictionary! { "Rotate" => 90 }, |_| Dictionary::new())).unwrap();
    let page = &document.pages[0];
    assert_eq!((page.width, page.height), (800.0, 600.0));
    let word = &words(&document)[0];
    assert_eq!((word.text.as_str(), word.turn), ("Lime", Turn::None));
    assert!((word.area.x0 - 200.0).abs() < 0.01 && (word.area.y1 - 302.0).abs() < 0.01, "{:?}", word.area);
}

#[test]
fn a_word_set_upwards_is_whole() {
    let document = read(plain("BT 0 1 -1 0 300 200 Tm /F 10 Tf (Potassium) Tj ET")).unwrap();
    let word = &words(&document)[0];
    assert_eq!((word.text.as_str(), word.turn), ("Potassium", Turn::Up));
    assert!(word.area.height() > word.area.width());
}

#[test]
fn a_form_is_drawn_where_its_matrix_says() {
    let made = file("/X Do", Dictionary::new(), |builder| {
        let form = form(builder, "BT /F 5 Tf 50 100 Td (Zinc) Tj ET", Dictionary::new());
        dictionary! { "X" => form }
    });
    let word = &words(&read(made).unwrap())[0];
    assert_eq!((word.text.as_str(), word.size), ("Zinc", 10.0));
    assert_eq!((word.area.x0, word.area.y1), (110.0, 582.0));
}

#[test]
fn outlined_letters_count_once_and_hidden_ones_are_kept() {
    assert_eq!(texts(&read(plain("BT /F 10 Tf 2 Tr 100 700 Td (6.4) Tj ET")).unwrap()), ["6.4"]);
    assert_eq!(texts(&read(plain("BT /F 10 Tf 3 Tr 100 700 Td (6.4) Tj ET")).unwrap()), ["6.4"]);
}

#[test]
fn what_is_off_the_page_or_clipped_away_is_not_read() {
    let drawing = "BT /F 10 Tf 900 700 Td (away) Tj ET q 0 0 50 50 re W n BT /F 10 Tf 100 700 Td (cut) Tj ET Q \
        BT /F 10 Tf 100 600 Td (here) Tj ET";
    assert_eq!(texts(&read(plain(drawing)).unwrap()), ["here"]);
}

#[test]
fn a_field_that_the_file_does_not_draw_is_read_at_its_place() {
    let field = dictionary! {
        "Type" => "Annot", "Subtype" => "Widget", "FT" => "Tx", "V" => Object::string_literal("6.4 units"),
        "Rect" => vec![100.into(), 500.into(), 200.into(), 512.into()],
    };
    let document =
        read(file("", dictionary! { "Annots" => vec![field.into()] }, |_| Dictionary::new())).unwrap();
    assert_eq!(texts(&document), ["6.4", "units"]);
    assert!((words(&document)[0].area.mid_y() - 294.0).abs() < 0.01);
}

#[test]
fn a_file_locked_without_a_password_opens_and_one_with_a_password_does_not() {
    let locked = |password: &str| {
        let mut builder = plain("BT /F 10 Tf 100 700 Td (Boron) Tj ET");
        let version = EncryptionVersion::V2 {
            document: &builder,
            owner_password: "owner",
            user_password: password,
            key_length: 128,
            permissions: Permissions::all(),
        };
        let state = EncryptionState::try_from(version).unwrap();
        builder.encrypt(&state).unwrap();
        read(builder)
    };
    assert_eq!(texts(&locked("").unwrap()), ["Boron"]);
    assert_eq!(cause(locked("secret")), Cause::Locked);
}

#[test]
fn forms_that_call_themselves_or_each_other_without_end_are_refused() {
    let cycle = file("/X Do", Dictionary::new(), |builder| {
        let own = builder.new_object_id();
        let form = form(builder, "/X Do /X Do", dictionary! { "X" => own });
        let stream = builder.objects.remove(&form).unwrap();
        builder.objects.insert(own, stream);
        dictionary! { "X" => own }
    });
    assert_eq!(cause(read(cycle)), Cause::TooDeep);
    let tree = file("/X Do", Dictionary::new(), |builder| {
        let calls = "/X Do ".repeat(10);
        let mut inner = form(builder, "BT /F 5 Tf (x) Tj ET", Dictionary::new());
        for _ in 0..20 {
            inner = form(builder, &calls, dictionary! { "X" => inner });
        }
        dictionary! { "X" => inner }
    });
    assert_eq!(cause(read(tree)), Cause::Limit);
}

#[test]
fn a_stream_that_unpacks_without_end_is_refused() {
    let limits = Limits { stream_bytes: 1 << 20, unpacked_bytes: 2 << 20, ..Limits::default() };
    let mut builder = plain("");
    let mut bomb = Stream::new(Dictionary::new(), vec![b' '; 3 << 20]);
    bomb.compress().unwrap();
    builder.add_object(bomb);
    assert_eq!(cause(open(&bytes(builder), &limits)), Cause::Limit);
}

#[test]
fn a_font_table_that_names_all_codes_is_refused() {
    let mut builder = plain("BT /F 10 Tf 100 700 Td (Iron) Tj ET");
    let table = b"1 beginbfrange <00000000> <FFFFFFFF> <0041> endbfrange".to_vec();
    let table = builder.add_object(Stream::new(Dictionary::new(), table));
    for object in builder.objects.values_mut() {
        if let Ok(font) = object.as_dict_mut()
            && font.has_type(b"Font")
        {
            font.set("ToUnicode", table);
        }
    }
    assert_eq!(cause(read(builder)), Cause::Limit);
}

#[test]
fn a_cut_file_is_refused_as_damaged() {
    let whole = bytes(plain(&"BT /F 10 Tf 100 700 Td (Calcium) Tj ET ".repeat(50)));
    for share in 1..20 {
        let cut = &whole[..whole.len() * share / 20];
        assert_eq!(cause(open(cut, &Limits::default())), Cause::Damaged, "{share} of 20");
    }
    assert_eq!(cause(open(b"not a PDF at all", &Limits::default())), Cause::Damaged);
}

#[test]
fn a_page_that_is_a_picture_becomes_pixels() {
    let scanned = |extra: &str| {
        file(&format!("q 600 0 0 800 0 0 cm /X Do Q {extra}"), Dictionary::new(), |builder| {
            let dict = dictionary! {
                "Type" => "XObject", "Subtype" => "Image", "Width" => 3, "Height" => 2,
                "ColorSpace" => "DeviceGray", "BitsPerComponent" => 8,
            };
            dictionary! { "X" => builder.add_object(Stream::new(dict, vec![0, 50, 100, 150, 200, 250])) }
        })
    };
    // Pixels are not square here, so the sheet is as fine in both directions as the mean.
    let document = read(scanned("BT /F 8 Tf 20 20 Td (Page 1) Tj ET")).unwrap();
    assert_eq!(document.format, Format::Scan);
    let Content::Picture(picture) = &document.pages[0].content else { panic!("no picture") };
    assert_eq!(picture.area, Rect::new(0.0, 0.0, 600.0, 800.0));
    assert_eq!(picture.grey.len(), picture.width as usize * picture.height as usize);
    assert_eq!((picture.grey[0], picture.grey[picture.grey.len() - 1]), (0, 250));
    // With a text layer of its own it is a page of words.
    let layer = (0..20)
        .map(|line| format!("BT 3 Tr /F 8 Tf 20 {} Td (word) Tj ET ", 20 * line + 20))
        .collect::<String>();
    let document = read(scanned(&layer)).unwrap();
    assert_eq!(document.format, Format::Pdf);
    assert!(words(&document).iter().all(|word| word.confidence.is_some_and(|sure| sure < 50.0)));
    assert_eq!(document.notes.len(), 1);
}

#[test]
fn an_empty_page_is_an_empty_page() {
    let document = read(plain("")).unwrap();
    assert_eq!((document.format, words(&document).len()), (Format::Pdf, 0));
}

#[test]
fn more_pages_than_allowed_are_refused() {
    let limits = Limits { pages: 0, ..Limits::default() };
    assert_eq!(cause(open(&bytes(plain("")), &limits)), Cause::Limit);
}
