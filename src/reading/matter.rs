//! What was analysed: soil, or water, plants, manure, a growing mix, laboratories; and whether it is a report at all.

use super::across;
use super::found::{Found, FoundSample};
use super::kept::{Kept, kept_of_kind};
use crate::document::{Cause, Format, Refusal};
use crate::soil::{Analyte, Doubt};
use regex::Regex;
use std::cell::RefCell;
use std::sync::LazyLock;

macro_rules! pattern {
    ($name:ident, $text:literal) => {
        static $name: LazyLock<Option<Regex>> = LazyLock::new(|| Regex::new($text).ok());
    };
}

pattern!(
    SOIL,
    r"(?i)\bsoil (?:test|tests|testing|analysis|analyses|report|sample|samples|results|fertility|chemistry|ph\b|nutrient)|\b(?:matrix|sample type|material|matter) ?:? ?soil|\bboden(?:untersuchung|analyse|probe|labor|befund)|\brasenanalyse|\banalyses? (?:de|du|des) (?:sols?|terres?)\b|\bterres? (?:séchées?|fine)|\ban[áa]lisis de (?:suelos?|tierras?|fertilidad)|\ban[áa]lises? (?:qu[íi]micas? |f[íi]sicas? )?(?:de|do) solos?\b|\banalisi (?:del |di )?(?:terren[oi]|suol[oi])|\b(?:suolo|terreno) agrario|\bgrond(?:onderzoek|analyse|monsters?|ontleding|soort|lab)|\bbemestingsonderzoek"
);
pattern!(
    WATER,
    r"(?i)\b(?:irrigation|well|drinking|tap|pond|surface|ground|waste) ?water (?:analysis|analyses|test|report|results|quality|suitability|sample)|\bwater (?:analysis|analyses|test|quality|report|suitability)|\b(?:matrix|sample type|material|matter) ?:? ?(?:irrigation |well |drinking )?water|\bhardness\b|\balkalinity\b|\bwasser(?:analyse|untersuchung|probe)|\b(?:trink|brunnen|beregnungs)wasser|\banalyses? (?:d'eaux?|de l'eau)|\beaux? d'irrigation|\ban[áa]lisis de aguas?|\bagua de riego|\ban[áa]lises? (?:de|da) [áa]gua|\b[áa]gua de irriga[çc][ãa]o|\banalisi (?:delle acque|dell'acqua|acqua)|\bacqua (?:di irrigazione|irrigua|potabile)|\bwater(?:analyse|onderzoek)|\b(?:drink|giet|bron)water|\bwaterontleding|\bcoliform"
);
pattern!(
    TISSUE,
    r"(?i)\b(?:plant|leaf|tissue|foliar|petiole|forage|feed|hay|grain) (?:tissue |testing )?(?:analysis|analyses|tests?\b|report|results|nutrient|sample)|\b(?:matrix|sample type|material|matter) ?:? ?(?:plant|leaf|tissue|forage)|\b(?:plant|leaf) tissue\b|\bpetioles?\b|\b(?:%|mg/kg|g/kg) DM\b|\bdry matter basis|\bblatt(?:analyse|untersuchung|probe)|\bpflanzenanalyse|\bfutter(?:mittel)?(?:analyse|untersuchung)|\banalyses? (?:foliaires?|de feuilles|de végétaux|de fourrages?|pétiolaires?)|\ban[áa]lisis (?:foliar(?:es)?|de (?:hojas|tejidos?|forrajes?))|\ban[áa]lises? foliar(?:es)?|\btecido vegetal|\btejido vegetal|\banalisi (?:fogliar[ei]|dei? foragg[io]|del foraggio)|\b(?:blad|gewas|plant)(?:analyse|onderzoek)|\b(?:kuil|ruwvoer)(?:analyse|onderzoek)|\bblaarontleding|\bcrude protein"
);
pattern!(
    MIX,
    r"(?i)\b(?:manure|compost|biosolids?|slurry|sludge) (?:analysis|analyses|test|report|results|sample|nutrient)|\bsaturated media extract|\b(?:potting|growing|soilless) (?:mix|media|medium|substrate)|\bgreenhouse (?:media|medium)|\b(?:matrix|sample type|material) ?:? ?(?:manure|compost)|\b(?:gülle|mist|kompost|gärrest|klärschlamm|substrat)(?:analyse|untersuchung|probe)|\banalyses? (?:de|du|des) (?:fumiers?|lisiers?|composts?|boues|substrats?|digestats?)|\ban[áa]lisis (?:de|del) (?:estiércol|purín|compost|lodos?|sustratos?)|\ban[áa]lises? (?:de|do) (?:esterco|composto|substratos?|lodo)|\banalisi (?:del|dei|di) (?:letame|liquame|compost|substrat[oi]|digestato|fanghi)|\b(?:mest|compost|drijfmest|substraat)(?:analyse|onderzoek)|\bas[- ]received basis\b.*\bas[- ]received basis"
);
pattern!(
    INVOICE,
    r"(?i)\binvoice\b|\bamount due\b|\btotal due\b|\bbill to\b|\breceipt\b|\bpurchase order\b|\brechnung\b|\bfacture\b|\bprice list\b|\b(?:tests|services) and (?:prices|fees)\b|\bfee schedule\b|\bquotation\b|\bpreisliste\b|\bangebot nr|\bauftragsbestätigung\b|\bgebührenverzeichnis\b|\bdevis n|\btarifs?\b.*\bht\b|\bbon de commande\b|\bfactura\b|\bpresupuesto\b|\blista de precios\b|\bfatura\b|\borçamento\b|\btabela de preços\b|\bfattura\b|\bpreventivo\b|\blistino prezzi\b|\bfactuur\b|\bofferte\b|\bprijslijst\b|\bopdrachtbevestiging\b"
);

pattern!(
    ROUND,
    r"(?i)\bproficiency\b|\bring[- ]?(?:versuch|test|trial|onderzoek|analys)|\binter-?laborator|\bround[- ]robin|\beignungsprüfung|\bessais? (?:inter-?laboratoires?|d'aptitude)|\bensayos? (?:de aptitud|interlaboratorios?)|\bensaios? (?:de profici[êe]ncia|interlaboratoria(?:l|is))|\bprove? interlaboratorio|\bbadania biegłości"
);
pattern!(
    SCORES,
    r"(?i)\bz[- ]?(?:scores?|werte?|values?)\b|\bassigned values?\b|\bconsensus\b|\brobust (?:mean|median|sd|standard|average|mittel)|\bmad\b|\bvaleurs? assignées?\b|\bvalor(?:es)? (?:asignados?|designados?)\b|\bsollwert"
);

pattern!(EARTH, r"(?i)\b(?:soils?|boden|erde|terre|sols?|suelos?|solos?|suolo|terreno|grond)\b");
pattern!(
    OFFICE,
    r"(?i)\b(?:lab|labs|laborator(?:y|ies)|services?|institute|extension|cent(?:er|re)|department|company|ltd|inc|llc)\b|@|www\."
);

fn holds(pattern: &LazyLock<Option<Regex>>, text: &str) -> bool {
    pattern.as_ref().is_some_and(|r| r.is_match(text))
}

/// The patterns, each with its place in what is kept of a line.
const PATTERNS: [&LazyLock<Option<Regex>>; 9] =
    [&SOIL, &WATER, &TISSUE, &MIX, &INVOICE, &EARTH, &OFFICE, &ROUND, &SCORES];

thread_local! {
    static SAYS: RefCell<Kept<[bool; PATTERNS.len()]>> = RefCell::default();
}

/// True where a line holds what the pattern asks for; none of them reaches over the end of a line. A form says the same
/// with each of its reports, so what its lines hold is kept.
fn found(pattern: &LazyLock<Option<Regex>>, text: &str) -> bool {
    let Some(at) = PATTERNS.iter().position(|p| std::ptr::eq(*p, pattern)) else { return false };
    let matches = |line: &str| PATTERNS.map(|p| holds(p, line));
    text.lines().any(|line| kept_of_kind(&SAYS, line, 0, || matches(line)).get(at) == Some(&true))
}

/// More words than a title has are a sentence, and say in passing what else there is.
const MOST_WORDS_OF_A_TITLE: usize = 8;

/// True for a sentence or a part of one.
fn is_sentence(phrase: &str) -> bool {
    phrase.split_whitespace().count() > MOST_WORDS_OF_A_TITLE
        || phrase.ends_with(['.', '!', '?'])
        || phrase.starts_with(char::is_lowercase)
}

/// True for what compares laboratories with each other on one soil: a title of such a round, and the words for its scores.
/// A report says in passing that its laboratory takes part in one.
fn is_round(text: &str) -> bool {
    let phrases = || text.lines().flat_map(|line| line.split("  "));
    let title = |phrase: &str| !phrase.trim_end().ends_with(['.', '!', '?']) && found(&ROUND, phrase);
    found(&SCORES, text) && phrases().any(title)
}

/// What the results of a soil report are called together.
const OF_SOIL_TOO: &str = "plant nutrients";

/// True where the text names this matter otherwise than in a sentence, `a petiole test at bloom is the better guide`, or
/// in the title `Plant nutrients`.
fn plainly(pattern: &LazyLock<Option<Regex>>, text: &str) -> bool {
    let phrases = text.lines().flat_map(|line| line.split("  ")).filter(|phrase| !is_sentence(phrase));
    phrases.filter(|phrase| found(pattern, phrase)).any(|phrase| {
        let lower = phrase.to_lowercase();
        !lower.contains(OF_SOIL_TOO) || found(pattern, &lower.replace(OF_SOIL_TOO, ""))
    })
}

/// True where the lines above the first result hold a title of this matter, and none of them speaks of soil but in the
/// name of a laboratory: a sentence below may speak of soil tests as well.
fn titles(pattern: &LazyLock<Option<Regex>>, head: &str, of_soil: bool) -> bool {
    let own = || head.lines().filter(|line| !found(&OFFICE, line));
    let short = |phrase: &&str| phrase.split_whitespace().count() <= MOST_WORDS_OF_A_TITLE;
    let title = |phrase: &str| {
        !phrase.ends_with(['.', '!', '?']) && found(pattern, phrase) && (!of_soil || plainly(pattern, phrase))
    };
    !own().any(|line| found(&EARTH, line)) && own().flat_map(|l| l.split("  ")).filter(short).any(title)
}

/// True where phosphorus stands in percent beside sulfur or a cation in percent, and nothing that only soil is asked
/// for: leaves, feed, manure and fertilizer hold so much. Leaves hold 0.1 to 1 % of phosphorus, soil rarely a tenth of
/// that (from memory, no source).
pub fn in_percent(samples: &[FoundSample]) -> bool {
    let readings = || samples.iter().flat_map(|s| &s.readings);
    let measured = |is: &dyn Fn(Analyte) -> bool| readings().any(|r| r.label.analyte.is_some_and(is));
    let soil = |a| {
        matches!(
            a,
            Analyte::Ph | Analyte::BufferPh | Analyte::Cec | Analyte::Acidity | Analyte::OrganicMatter
        )
    };
    let percent =
        |r: &&Found| r.unit.as_ref().or(r.label.unit.as_ref()).is_some_and(|(unit, _)| *unit == "%");
    let shares: Vec<Analyte> = readings().filter(percent).filter_map(|r| r.label.analyte).collect();
    shares.contains(&Analyte::Phosphorus)
        && shares.iter().any(|a| *a != Analyte::Phosphorus)
        && !measured(&soil)
}

/// Results of a table of leaves or manure beside those of soil wait: what stands in percent beside phosphorus in
/// percent is no share of the exchange complex.
pub fn doubt_percents(samples: &mut [FoundSample]) {
    let doubt = Doubt::new(
        "other-matter",
        "Phosphorus stands in percent beside it, as in leaves, manure or fertilizer: perhaps no result of soil.",
    );
    for sample in samples.iter_mut().filter(|s| in_percent(std::slice::from_ref(s))) {
        across::doubt_all(std::slice::from_mut(sample), Some(&doubt));
    }
}

/// True where the buffer pH or the exchange capacity beside a pH was measured: of soil alone, not of leaves or water.
pub fn only_soil_has(samples: &[FoundSample]) -> bool {
    let readings = || samples.iter().flat_map(|s| &s.readings).filter(|r| r.label.is_result());
    let measured = |analyte| readings().any(|r| r.label.analyte == Some(analyte));
    measured(Analyte::BufferPh) || measured(Analyte::Ph) && measured(Analyte::Cec)
}

/// The refusal of what is no soil.
pub fn other(what: &str, format: Format) -> Refusal {
    Refusal::new(
        Cause::WrongMatter,
        format,
        format!("This is {what}, not a soil test; its numbers never enter a soil history."),
        "Keep it elsewhere; if it does hold soil results, send these as a report of their own.",
    )
}

/// Refuses a document that is plainly something else than a soil report. `text` is all of it, `head` what stands above
/// the first result, `readings` how many measurements were found, `of_soil` that some of them are only ever made of
/// soil, `format` what the file is.
///
/// # Errors
/// `wrong-matter` for water, tissue or mixes; `not-a-report` where no measurement was found.
pub fn judge(text: &str, head: &str, readings: usize, of_soil: bool, format: Format) -> Result<(), Refusal> {
    if is_round(text) {
        return Err(other("a comparison of laboratories with each other", format));
    }
    let wrong = [
        (&WATER, "a water analysis"),
        (&TISSUE, "a plant or feed analysis"),
        (&MIX, "an analysis of manure, compost or a growing mix"),
    ];
    // Soil reports advertise water tests, too: elsewhere than in a title the other matter counts only where soil is not
    // named.
    let soil = found(&SOIL, text);
    for (pattern, what) in wrong {
        // What only soil is asked for stands against words in passing; a growing mix is asked for the same.
        let of_soil = of_soil && !std::ptr::eq(pattern, &MIX);
        let named = !soil && found(pattern, text) && (!of_soil || plainly(pattern, text));
        if named || titles(pattern, head, of_soil) {
            return Err(other(what, format));
        }
    }
    if readings > 0 {
        return Ok(());
    }
    let (what, remedy) = if text.trim().is_empty() {
        ("The pages hold no text and no picture of a report.", "Check that the right file was sent.")
    } else if found(&INVOICE, text) {
        (
            "This is an invoice or another business paper: no table with a sample and a measured value.",
            "Keep it with the accounts; drop the report itself here.",
        )
    } else {
        (
            "No soil test was found in this file: no table with a sample and a measured value.",
            "If it is a report, ask the laboratory for a PDF or table of the results and drop that.",
        )
    };
    Err(Refusal::new(Cause::NotAReport, format, what, remedy))
}

/// True for an invoice, receipt or price list.
pub fn business(text: &str) -> bool {
    found(&INVOICE, text)
}

/// A word on the paper says that it replaces an earlier report.
pub fn revised(text: &str) -> bool {
    pattern!(
        REVISED,
        r"(?i)\b(?:revised|amended|corrected|re-?issued?)\b.{0,30}\b(?:report|copy|results?|version|certificate|\d)|\b(?:report|copy|certificate)\b.{0,20}\b(?:revised|amended|corrected|re-?issued)\b|\bsupersedes\b|\breplaces (?:our |the )?(?:earlier |previous )?report|\brev(?:ision|\.)? ?:? ?(?:no\.? ?)?[1-9]\b"
    );
    // Few reports hold any of its words, and the pattern itself is dear.
    pattern!(HINTED, r"(?i)rev|amend|correct|issue|supersede|replaces");
    holds(&HINTED, text) && holds(&REVISED, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn water_and_tissue_are_refused_and_soil_is_not() {
        let cause = |text: &str, n| judge(text, "", n, false, Format::Pdf).err().map(|r| r.cause);
        assert_eq!(cause("Irrigation water analysis pH 7.6 Hardness as CaCO3", 9), Some(Cause::WrongMatter));
        assert_eq!(cause("Leaf tissue analysis N P K", 9), Some(Cause::WrongMatter));
        assert_eq!(cause("Certificate of analysis: plant tissue (petiole)", 9), Some(Cause::WrongMatter));
        assert_eq!(cause("Zinc 41 mg/kg DM", 9), Some(Cause::WrongMatter));
        assert_eq!(cause("Soil test report. Plant tissue is tested too.", 9), None);
        assert_eq!(cause("Soil test report. Ask about our water analysis.", 9), None);
        assert_eq!(cause("INVOICE Routine soil test 4 18.50", 0), Some(Cause::NotAReport));
        assert_eq!(cause("", 0), Some(Cause::NotAReport));
        assert_eq!(cause("Hob Agronomy & Feed Testing. pH in water 6.1", 9), None);
        for text in [
            "Analisi dell'acqua irrigua pH 7,6 Calcio 41",
            "Wateronderzoek gietwater pH 7,1 Natrium 30",
            "Analyse foliaire vigne N P K",
            "Análise foliar soja N P K",
            "Gewasonderzoek sla Kalium 31",
            "Mestonderzoek drijfmest Fosfor 1,5",
            "Gülleuntersuchung Kalium 4,1 kg/m3",
        ] {
            assert_eq!(cause(text, 9), Some(Cause::WrongMatter), "{text}");
        }
        for text in [
            "Analisi del terreno. Si eseguono analisi dell'acqua.",
            "Bemestingsonderzoek bouwland. Ook gewasonderzoek.",
            "Análise química do solo. Análise foliar sob consulta.",
            "Analyse de terre; demandez une analyse foliaire.",
            "Bodenuntersuchung Acker, Gülleuntersuchung auf Anfrage",
        ] {
            assert_eq!(cause(text, 9), None, "{text}");
        }
    }

    #[test]
    fn a_round_that_compares_laboratories_is_refused_and_a_word_of_one_is_not() {
        let refused = |text: &str| judge(text, "", 9, true, Format::Pdf).is_err();
        for text in [
            "Hob Soil Round - proficiency summary 2024-2\nTest  Median  MAD  Laboratories\npH  5.85  0.12  56",
            "Ringversuch Boden 12\npH  6,4  z-Wert  0,3",
            "Soil proficiency round 44: participant 17\nDetermination  Consensus A  Yours A",
        ] {
            assert!(refused(text), "{text}");
        }
        for text in [
            "Soil report\npH  6.4\nOur laboratory takes part in proficiency rounds; z-scores on request.",
            "Soil report\nProficiency tested laboratory\npH  6.4",
            "Soil report\nIn the consensus of growers this is enough\npH  6.4",
        ] {
            assert!(!refused(text), "{text}");
        }
    }

    #[test]
    fn words_in_passing_make_no_other_matter_of_what_only_soil_is_asked_for() {
        let refused = |text: &str, of_soil| judge(text, text, 9, of_soil, Format::Pdf).is_err();
        let comment = "Comment: potassium is moderate; a petiole test at bloom is the better guide.";
        for text in [comment, "Plant nutrients", "Plant nutrients (Mehlich-3)"] {
            assert!(refused(text, false) || text == comment, "{text}");
            assert!(judge(text, "", 9, false, Format::Pdf).is_err(), "{text}");
            assert!(!refused(text, true), "{text}");
        }
        for text in
            ["Petiole results", "Plant nutrients in leaf tissue", "Matrix: water", "Compost analysis report."]
        {
            assert!(refused(text, true), "{text}");
        }
    }

    #[test]
    fn a_title_of_another_matter_goes_before_sentences_about_soil() {
        let refused = |head: &str| {
            let text = format!("{head}\nZinc 41 ppm\nCompare with a soil test of the same bed.");
            judge(&text, head, 9, false, Format::Pdf).is_err()
        };
        assert!(refused("Hob Mill Laboratory\nPLANT TISSUE ANALYSIS REPORT"));
        assert!(refused("Soil Testing Service\nLeaf analysis  Report 12"));
        assert!(!refused("Soil, plant tissue and water analysis\nReport 12"));
        assert!(!refused("Soil report\nLeaf analysis"));
        assert!(!refused("We wrote to you about the leaf analysis that you asked us for."));
        assert!(!refused("Hob Mill Plant Tissue Laboratory\nReport 12"));
    }

    #[test]
    fn a_revision_says_so() {
        assert!(revised("CORRECTED REPORT"));
        assert!(revised("Revision 2 of report A22"));
        assert!(!revised("Soil Test Report"));
    }
}
