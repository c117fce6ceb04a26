//! Notes as reports print them, and what each gives to which analyte.

use super::*;
use crate::soil::{Analyte, Method};

const C: Context = Context { symbols: true, capitals: false };

pub(super) fn of(text: &str) -> Notes {
    notes(&[NoteLine { text: text.to_owned(), footnote: false, apart: false }], &[], C)
}

#[test]
fn the_letter_of_a_table_is_no_element() {
    let text = "Table B. Micronutrient package: Zn, Mn, Cu, Fe by DTPA; B by hot water";
    assert_eq!(of(text).methods.get(&Analyte::Boron), Some(&Some(Method::HotWater)));
    assert_eq!(of(text).methods.get(&Analyte::Zinc), Some(&Some(Method::Dtpa)));
    assert_eq!(of("Table 3: B by hot water").methods.get(&Analyte::Boron), Some(&Some(Method::HotWater)));
}

#[test]
fn an_extract_that_was_changed_is_another_one() {
    let said = |text: &str| of(text).methods.get(&Analyte::Phosphorus).copied().flatten();
    let modified = Some(Method::ModifiedMorgan);
    assert_eq!(said("Phosphorus and potassium: Modified Morgan's solution, mg per litre of soil."), modified);
    assert_eq!(said("Phosphorus by Morgan's solution"), Some(Method::Morgan));
    assert_eq!(said("Phosphore : Morgan modifié"), modified);
    for text in ["Phosphorus by modified Olsen", "Phosphorus: Morgan (modif.)", "P: Bray 1, modificado"] {
        assert_eq!(said(text), None, "{text}");
    }
}

#[test]
fn the_metals_are_those_of_the_micronutrients_and_no_heavy_ones() {
    let said = |text: &str, analyte| of(text).methods.get(&analyte).copied().flatten();
    let text = "Phosphorus, potassium and the metals are by the AB-DTPA extract.";
    assert_eq!(said(text, Analyte::Copper), Some(Method::AbDtpa));
    assert_eq!(said(text, Analyte::Boron), None, "boron is none");
    for text in ["Heavy metals by DTPA", "The heavy metals by DTPA", "Alkali metals by Mehlich-3"] {
        assert_eq!(said(text, Analyte::Zinc), None, "{text}");
    }
}

#[test]
fn a_line_behind_a_table_is_no_end_of_a_line_before_it() {
    let line = |text: &str, apart| NoteLine { text: text.to_owned(), footnote: false, apart };
    let notes = |apart| {
        notes(
            &[
                line("Table 1. Available nutrients, kg/ha (except where shown)", false),
                line("kg/ha = mg/kg x 2.6", apart),
            ],
            &[],
            C,
        )
    };
    assert_eq!((notes(true).hectare_factor, notes(false).hectare_factor), (Some(2.6), None));
}

#[test]
fn the_nutrients_other_than_one_that_an_extract_cannot_take_out_are_by_that_extract() {
    let said = |text: &str| of(text).extractant;
    assert_eq!(
        said("Nutrients other than nitrate were measured in a Mehlich-3 extract."),
        Some(Method::Mehlich3)
    );
    assert_eq!(
        said("Elements apart from nitrate and chloride were extracted with Mehlich 3."),
        Some(Method::Mehlich3)
    );
    for text in [
        "Nutrients other than phosphorus were measured in a Mehlich-3 extract.",
        "Nutrients other than nitrate and those marked were measured in a Mehlich-3 extract.",
        "Nutrients other than these were measured in a Mehlich-3 extract.",
    ] {
        assert_eq!(said(text), None, "{text}");
    }
}

#[test]
fn one_part_that_is_so_many_kilograms_is_a_factor() {
    let stated = of("1 mg/kg = 2 kg/ha for a layer of 15 cm.");
    assert_eq!((stated.hectare_factor, stated.pounds_factor), (Some(2.0), None));
    assert_eq!(of("Apply 1 kg/ha of boron").hectare_factor, None);
    assert_eq!(of("kg/ha = ppm × 2,24. M.O. par perte au feu.").hectare_factor, Some(2.24));
    assert_eq!(of("kg/ha = mg/kg x 3,5").hectare_factor, Some(3.5));
    assert_eq!(of("kg/ha = ppm x 2,000").hectare_factor, None);
    let beside = of("Na 36 pound per acre in the extract kg/ha = ppm x 2.24");
    assert_eq!((beside.hectare_factor, beside.pounds_factor), (Some(2.24), None));
    assert_eq!(of("kg/ha = mg/kg x 2,24. M.O. : perte au feu.").hectare_factor, Some(2.24));
    assert_eq!(of("kg/ha = mg/kg x 2,240 m3").hectare_factor, None);
}

#[test]
fn of_two_factors_each_belongs_to_its_own_weight_and_two_for_one_weight_are_none() {
    let both = |text: &str| (of(text).pounds_factor, of(text).of_hectares(), of(text).pounds_unread);
    assert_eq!(both("lb/acre = ppm x 2, kg/ha = ppm x 2.24"), (Some(2.0), Some(2.24), false));
    assert_eq!(both("ppm x 2 = lb/acre and ppm x 2.24 = kg/ha"), (Some(2.0), Some(2.24), false));
    assert_eq!(both("kg/ha = mg/kg x 2.6 for topsoil and x 3 for subsoil"), (None, None, false));
    assert_eq!(both("kg/ha = mg/kg x 2.6. In sand kg/ha = mg/kg x 3.").1, None);
    assert_eq!(both("lb/acre and kg/ha are ppm x 2 and x 2.24"), (None, None, true));
    assert_eq!(both("lb/acre = ppm x 1.33 for turf and x 2 for fields"), (None, None, true));
}

#[test]
fn the_heading_of_a_table_goes_on_in_no_note() {
    let lines = [
        "Analysis  Result  Unit  Detection limit  Desired Range",
        "pH by equal parts of soil and water; organic matter by Walkley-Black.",
    ];
    let lines = lines.map(|t| NoteLine { text: t.to_owned(), footnote: false, apart: false });
    assert_eq!(notes(&lines, &[], C).methods.get(&Analyte::Ph), Some(&Some(Method::Water1to1)));
}

#[test]
fn a_sentence_on_zeros_makes_them_blanks() {
    assert!(zero_is_blank("A zero means that the test was not ordered."));
    assert!(zero_is_blank("0 indicates no test"));
    assert!(!zero_is_blank("Sampling depth 0 to 6 inches. Results mean nothing for potting mix."));
}

#[test]
fn half_a_method_or_one_of_another_is_a_place_where_a_method_may_hide() {
    let half = of("Soil pH 1:1 water. P, K, Ca and Mg by Mehlich");
    assert_eq!(half.methods.get(&Analyte::Potassium), None);
    assert!(half.may_hide_a_method(Analyte::Potassium) && !half.may_hide_a_method(Analyte::Zinc));
    assert!(!half.may_hide_a_method(Analyte::SatK));
    assert!(of("Mehlich 3, by ICP").may_hide_a_method(Analyte::Calcium));
    // Where marks are lost, one note runs into the next.
    assert!(of("read when soil pH is under 7.0 Mehlich 3 by ICP").may_hide_a_method(Analyte::Calcium));
    assert!(!of("Samples are kept for thirty days.").may_hide_a_method(Analyte::Calcium));
}

#[test]
fn a_buffer_named_alone_is_that_of_the_buffer_ph() {
    let n = of("Methods: pH in water 1:1; Sikora buffer; P, K by Mehlich-3.");
    assert_eq!(n.methods.get(&Analyte::BufferPh), Some(&Some(Method::Sikora)));
    assert_eq!(n.methods.get(&Analyte::Ph), Some(&Some(Method::Water1to1)));
    let n = of("SMP buffer; Sikora buffer");
    assert_eq!(n.methods.get(&Analyte::BufferPh), Some(&None));
}

#[test]
fn a_footnote_gives_each_list_its_method() {
    let n = of(
        "Procedures: pH in water 1:1; buffer pH by SMP; P1 = weak Bray; K, Mg, Ca by neutral ammonium acetate; Zn, Mn, Fe, Cu by DTPA; O.M. by loss on ignition; C.E.C. is the sum of cations.",
    );
    let method = |a| n.methods.get(&a).copied().flatten();
    assert_eq!(method(Analyte::Ph), Some(Method::Water1to1));
    assert_eq!(method(Analyte::BufferPh), Some(Method::Smp));
    assert_eq!(method(Analyte::Phosphorus), Some(Method::BrayP1));
    assert_eq!(method(Analyte::Potassium), Some(Method::AmmoniumAcetate));
    assert_eq!(method(Analyte::Calcium), Some(Method::AmmoniumAcetate));
    assert_eq!(method(Analyte::Iron), Some(Method::Dtpa));
    assert_eq!(method(Analyte::OrganicMatter), Some(Method::LossOnIgnition));
    assert_eq!(method(Analyte::Cec), Some(Method::Summation));
}

#[test]
fn an_extract_of_a_list_is_of_no_other() {
    let n = of("Procedures: pH by 1:1 H2O; P, K, Ca by Mehlich-1 extract.");
    assert_eq!(n.extractant, None);
    assert_eq!(n.methods.get(&Analyte::Calcium), Some(&Some(Method::Mehlich1)));
}

#[test]
fn an_extractant_for_all_reaches_only_what_it_measures() {
    let n = of(
        "Extractant: Mehlich 3 (ICP). pH in a 1:1 water slurry. Salts in a saturated paste extract. CEC is summed from the bases and acidity.",
    );
    assert_eq!(n.extractant, Some(Method::Mehlich3));
    assert_eq!(n.methods.get(&Analyte::Ph).copied().flatten(), Some(Method::Water1to1));
    assert_eq!(n.methods.get(&Analyte::SolubleSalts).copied().flatten(), Some(Method::SaturatedPaste));
    assert_eq!(n.methods.get(&Analyte::Cec).copied().flatten(), Some(Method::Summation));
}

#[test]
fn a_ratio_beside_a_salt_solution_is_no_method_of_its_own() {
    let context = Context { symbols: false, capitals: false };
    assert_eq!(method_in("1:5 in 0.01 M CaCl2", Analyte::Ph, context), [Some(Method::Cacl2)]);
    assert_eq!(method_in("1:5 water or CaCl2", Analyte::Ph, context).len(), 2);
    assert_eq!(method_in("1:5", Analyte::Ph, context), [Some(Method::Water1to5)]);
}

#[test]
fn a_note_on_the_volume_of_one_result_is_of_no_other() {
    let n = of("Olsen P: Olsen extraction, reported per volume of dried, sieved soil.");
    assert!(n.is_by_volume(Analyte::Phosphorus) && !n.is_by_volume(Analyte::Calcium), "{n:?}");
    let n = of("Results are per litre of soil.");
    assert!(n.is_by_volume(Analyte::Phosphorus) && n.is_by_volume(Analyte::Calcium), "{n:?}");
}

#[test]
fn conditions_are_no_procedures_and_factors_are_stated() {
    let n = of("Buffer pH is run only when soil pH is below 6.6 in 1:1 water.");
    assert!(n.methods.is_empty());
    assert_eq!(of("Pounds an acre are parts per million times two.").pounds_factor, Some(2.0));
    assert_eq!(of("All results in ppm.").common_unit.map(|u| u.0), Some("mg/kg"));
}

#[test]
fn raised_letters_open_footnotes_in_the_order_of_the_alphabet() {
    let line = "a one part soil, a part water. b Olsen bicarbonate. c DTPA.".to_owned();
    let n = notes(&[NoteLine { text: line, footnote: true, apart: false }], &[], C);
    assert_eq!(n.marked.get("b").map(|t| t.trim()), Some("Olsen bicarbonate."));
    assert_eq!(n.marked.get("a").map(|t| t.trim()), Some("one part soil, a part water."));
}

#[test]
fn a_note_in_capitals_names_elements_in_a_document_that_is_not() {
    let n = of("P, K, CA AND MG IN PPM");
    for analyte in [Analyte::Phosphorus, Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium] {
        assert_eq!(n.units.get(&analyte).map(|u| u.0), Some("mg/kg"), "{analyte}");
    }
    let n = of("ALL RESULTS IN MG/KG EXCEPT PH AND O.M.");
    assert_eq!(n.common_unit.map(|u| u.0), Some("mg/kg"));
    assert!(n.units.is_empty());
}

#[test]
fn shouted_notes_name_method_and_unit() {
    let n = notes(
        &[NoteLine {
            text: "P, K, CA, MG, ZN, MN: MEHLICH-1 EXTRACT, POUNDS PER ACRE.".to_owned(),
            footnote: false,
            apart: false,
        }],
        &[],
        Context { symbols: true, capitals: true },
    );
    assert_eq!(n.methods.get(&Analyte::Calcium).copied().flatten(), Some(Method::Mehlich1));
    assert_eq!(n.units.get(&Analyte::Manganese).map(|u| u.0), Some("lb/acre"));
}

#[test]
fn the_point_of_a_sentence_is_no_part_of_the_name_of_an_extract() {
    for text in ["Nutrients extracted with Mehlich-3.", "Extractant: Mehlich-III."] {
        assert_eq!(of(text).extractant, Some(Method::Mehlich3), "{text}");
    }
}

#[test]
fn an_extract_for_anions_and_cations_is_of_phosphorus_and_sulfur_too() {
    let n = of("Mehlich-3 extraction for anions, cations and trace elements. pH 1:1 in water.");
    for a in [Analyte::Phosphorus, Analyte::Sulfur, Analyte::Calcium, Analyte::Zinc] {
        assert_eq!(n.methods.get(&a), Some(&Some(Method::Mehlich3)), "{a}");
    }
    assert_eq!(n.methods.get(&Analyte::NitrateN), None);
    assert_eq!(n.extract_of_nothing(Analyte::Phosphorus), None);
}

#[test]
fn an_extract_of_a_list_with_a_strange_word_may_be_of_any_result() {
    for text in [
        "Mehlich-3 extraction for quibbles, cations and trace elements.",
        "Cations, quibbles and trace elements by Mehlich-3.",
        "Mehlich-3: Ca, Mg, oligotrophs, Zn",
    ] {
        assert_eq!(of(text).extract_of_nothing(Analyte::Phosphorus), Some(Method::Mehlich3), "{text}");
        assert_eq!(of(text).extract_of_nothing(Analyte::NitrateN), None, "{text}");
    }
    for text in [
        "K, Ca and Mg by Mehlich-3 extraction, ICP finish.",
        "Mehlich-3 extract for K, Ca, Mg and Na.",
        "Cations and trace elements by Mehlich-3; nitrate and chloride by something else.",
    ] {
        assert_eq!(of(text).extract_of_nothing(Analyte::Phosphorus), None, "{text}");
    }
}

#[test]
fn a_strange_extract_of_one_result_is_told() {
    let strange = |text: &str| of(text).strange;
    assert_eq!(strange("S - quibblate of calcium 0,01 mol/L."), [Analyte::Sulfur]);
    assert_eq!(strange("Sulfur: extracted with quibblate"), [Analyte::Sulfur]);
    assert!(strange("B - água quente").is_empty());
    assert!(strange("Zn: DTPA 0.005 M").is_empty());
    assert!(strange("S - sufficient, L - low").is_empty());
}

#[test]
fn phosphorus_counted_by_its_colour_is_by_a_method_of_its_own() {
    let method = |text: &str| of(text).methods.get(&Analyte::Phosphorus).copied();
    let colour = Some(Some(Method::Mehlich3Colorimetric));
    let note = "P in the Mehlich 3 extract, colorimetric; K, Ca, Mg, S in the Mehlich 3 extract, ICP.";
    assert_eq!(method(note), colour);
    assert_eq!(of(note).methods.get(&Analyte::Potassium), Some(&Some(Method::Mehlich3)));
    assert_eq!(method("Phosphorus: Mehlich 3 extract, molybdenum blue."), colour);
    assert_eq!(
        method("P and K in a Mehlich 3 extract, by molybdenum blue."),
        Some(None),
        "of which is that said?"
    );
    assert_eq!(method("P by Mehlich 3, ICP."), Some(Some(Method::Mehlich3)));
    assert!(of("Phosphorus by colorimetry.").by_colour && !of("Nitrate by colorimetry.").by_colour);
}

#[test]
fn how_much_water_a_soil_is_stirred_into_is_told_or_asked_about() {
    let ph = |text: &str| of(text).methods.get(&Analyte::Ph).copied();
    assert_eq!(ph("The pH was taken in an equal part of water."), Some(Some(Method::Water1to1)));
    assert_eq!(ph("pH was measured in twice its weight of water."), Some(Some(Method::Water1to2)));
    assert_eq!(of("The pH was taken in some nine parts of water.").strange, [Analyte::Ph]);
    assert!(of("Lime raises the pH. Water the lawn for some part of the day.").strange.is_empty());
}

#[test]
fn bases_are_named_in_other_languages_too() {
    for text in [
        "Basi di scambio: acetato di ammonio.",
        "Uitwisselbare basen: ammoniumacetaat.",
        "Cationi: acetato di ammonio.",
    ] {
        let notes = of(text);
        assert_eq!(notes.methods.get(&Analyte::Calcium), Some(&Some(Method::AmmoniumAcetate)), "{text}");
        assert_eq!(notes.methods.get(&Analyte::Phosphorus), None, "{text}");
    }
}

#[test]
fn the_number_of_an_extract_is_read_in_words_or_its_result_waits() {
    let method = |text: &str| of(text).methods.get(&Analyte::Phosphorus).copied().flatten();
    let text = "OM Walkley-Black. P by Bray No. 1. K, Ca, Mg by ammonium acetate.";
    assert_eq!(method(text), Some(Method::BrayP1));
    assert_eq!(method("P: Bray and Kurtz No. 2"), Some(Method::BrayP2));
    for text in [
        "P by Bray method one.",
        "P by the Bray test, number 2.",
        "P: Mehlich extractant II",
        "P: Bray method two",
    ] {
        assert_eq!((method(text), of(text).strange), (None, vec![Analyte::Phosphorus]), "{text}");
    }
    for text in ["P by Bray.", "Nitrate by KCl, batch 2.", "P: resin, cycle 1"] {
        assert!(of(text).strange.is_empty(), "{text}");
    }
}

#[test]
fn what_is_said_of_one_by_its_name_goes_before_what_is_said_of_its_group() {
    let boron = |text: &str| of(text).methods.get(&Analyte::Boron).copied();
    for text in ["Micronutrients: DTPA. Boron: hot water.", "Boron by hot water; micronutrients by DTPA"] {
        assert_eq!(boron(text), Some(Some(Method::HotWater)), "{text}");
    }
    for text in [
        "Boron: Mehlich 3. Boron: hot water.",
        "Micronutrients: DTPA. Boron is low against hot water standards.",
        "Micronutrients: DTPA. Boron: hot water. Boron: Mehlich 3.",
    ] {
        assert_eq!(boron(text), Some(None), "{text}");
    }
}

#[test]
fn extractable_nutrients_are_by_the_extract_right_before_them() {
    let said = |text: &str| of(text).extractant;
    assert_eq!(said("Mehlich-3 extractable nutrients, pH in 1:1 soil:water"), Some(Method::Mehlich3));
    for text in [
        "Mehlich-3 extractable nutrients, Olsen P",
        "Some Mehlich-3 extractable nutrients, pH in 1:1 soil:water",
        "Mehlich-3 extractable nutrients other than zinc, pH in 1:1 soil:water",
        "Mehlich-3 extractable nutrients should be raised, pH in 1:1 soil:water",
    ] {
        assert_eq!(said(text), None, "{text}");
    }
}

#[test]
fn a_capacity_that_is_summed_says_nothing_against_the_extract_of_the_cations_before_it() {
    let calcium = |text: &str| of(text).methods.get(&Analyte::Calcium).copied().flatten();
    let text = "Cations: 1 M ammonium acetate, CEC is the sum of cations and acidity.";
    assert_eq!(calcium(text), Some(Method::AmmoniumAcetate));
    assert_eq!(of(text).methods.get(&Analyte::Cec).copied().flatten(), Some(Method::Summation));
    assert_eq!(calcium("CEC is the sum of cations by ammonium acetate."), None);
}

#[test]
fn the_method_of_the_cations_is_told_beside_a_key() {
    let calcium = |text: &str| of(text).methods.get(&Analyte::Calcium).copied();
    assert_eq!(calcium("Cation method  1M ammonium acetate pH 7"), Some(Some(Method::AmmoniumAcetate)));
    assert_eq!(calcium("Cation exchange capacity  ammonium acetate pH 7"), None);
}

#[test]
fn what_is_left_out_of_an_extract_has_its_own_or_is_not_known() {
    let n = of("Mehlich-3 extraction except Zn (DTPA) and B (hot water).");
    assert_eq!(n.extractant, Some(Method::Mehlich3));
    assert_eq!(n.methods.get(&Analyte::Zinc), Some(&Some(Method::Dtpa)));
    assert_eq!(n.methods.get(&Analyte::Boron), Some(&Some(Method::HotWater)));
    let n = of("Extractant: Mehlich-3 except boron.");
    assert!(n.strange.contains(&Analyte::Boron) && !n.strange.contains(&Analyte::Zinc), "{n:?}");
}

#[test]
fn an_extract_of_micronutrients_alone_is_theirs_where_no_other_may_be() {
    let told = |text: &str, analyte: Analyte| of(text).methods.get(&analyte).copied().flatten();
    let text = "DTPA extraction; boron by hot water.";
    assert_eq!(told(text, Analyte::Zinc), Some(Method::Dtpa));
    assert_eq!(told(text, Analyte::Boron), Some(Method::HotWater));
    for text in ["Zn by Mehlich 3. DTPA extraction.", "Copper: EDTA; DTPA extraction"] {
        assert_eq!(told(text, Analyte::Manganese), Some(Method::Dtpa), "{text}");
    }
    assert_eq!(told("Zn by Mehlich 3. DTPA extraction.", Analyte::Zinc), Some(Method::Mehlich3));
    for text in [
        "DTPA extraction costs extra",
        "The client asked for a DTPA extraction",
        "Mehlich 3 extraction. DTPA extraction.",
        "DTPA extraction. EDTA extraction.",
    ] {
        assert_eq!(told(text, Analyte::Zinc), None, "{text}");
    }
    assert!(of("Mehlich 3 extraction. DTPA extraction.").strange.contains(&Analyte::Zinc));
}

#[test]
fn a_unit_with_its_exceptions_is_that_of_all_results_but_these() {
    let said = of("Unit mg/kg except pH and organic matter (%).");
    assert_eq!(said.common_unit.map(|u| u.0), Some("mg/kg"));
    assert!(!said.strange.contains(&Analyte::Ph), "a unit says nothing of how pH was measured");
    // A unit by itself may be of anything, and what is excepted does not have it.
    assert_eq!(of("Unit mg/kg").common_unit, None);
    assert_eq!(of("Lime in mg/kg except pH").common_unit, None);
    assert!(of("Unit mg/kg except boron").strange.contains(&Analyte::Boron));
    assert!(of("Mehlich-3, mg/kg, except pH").strange.contains(&Analyte::Ph));
}

#[test]
fn the_unit_of_a_caption_is_that_of_the_group_before_it() {
    let unit = |text: &str, analyte| of(text).units.get(&analyte).map(|u| u.0);
    let text = "Table 1. Reaction, phosphorus and cations (mg/kg; cations in ammonium acetate, P Bray 1)";
    for analyte in [Analyte::Phosphorus, Analyte::Potassium, Analyte::Sodium] {
        assert_eq!(unit(text, analyte), Some("mg/kg"));
    }
    assert_eq!(of(text).methods.get(&Analyte::Calcium), Some(&Some(Method::AmmoniumAcetate)));
    assert_eq!(unit("Table 2. Micronutrients (mg/kg)", Analyte::Zinc), Some("mg/kg"));
    for other in [
        "Table 1. Sum of cations (mg/kg)",
        "Table 1. Optimum cations (mg/kg)",
        "Table 1. Cations and clay (mg/kg)",
        "Cations (mg/kg) are counted in another way",
    ] {
        assert_eq!(unit(other, Analyte::Potassium), None, "{other}");
    }
}
