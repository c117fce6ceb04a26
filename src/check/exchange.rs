//! The exchange complex as the witness: cations and acidity sum to the CEC, and each share is its saturation.

use super::acidity_rule::Point;
use super::competing::{ORDER, explanations, units_that_close};
use super::limits::limit;
use super::{hold, only, printed_decimals, value, witness};
use crate::soil::chemistry::{acidity_from_buffer, saturation_percent};
use crate::soil::closure::{Closure, Tolerances};
use crate::soil::{Analyte, Basis, Method, Sample};

const CATIONS: [Analyte; 4] = [Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium, Analyte::Sodium];
const GROUP: [Analyte; 6] = [
    Analyte::Potassium,
    Analyte::Calcium,
    Analyte::Magnesium,
    Analyte::Sodium,
    Analyte::Cec,
    Analyte::Acidity,
];

/// What a cation and its share say for each other.
pub(super) const AGREES: &str = "agrees with its saturation and the CEC";

/// What the shares say for each other.
pub(super) const FULL: &str = "the saturations fill a hundred";

/// Checks the exchange complex of a sample, and settles the unit of cations printed without one.
pub fn check(sample: &mut Sample) {
    let Ok(tolerances) = Tolerances::built_in() else { return };
    settle_unit(sample, tolerances);
    let shares = saturations(sample, tolerances);
    sum(sample, tolerances, shares);
    over(sample);
    no_room(sample);
    full(sample, tolerances);
}

/// What tells the acidity of a sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Acidity {
    Printed,
    Share,
    Buffer,
    NoneAtThisPh,
}

impl Acidity {
    /// Everything but a buffer's rule, which is not every laboratory's.
    fn is_firm(self) -> bool {
        self != Self::Buffer
    }

    /// What sums to the CEC: a person must not look for a number that nobody printed.
    fn summed(self) -> &'static str {
        match self {
            Self::Printed => "cations and the acidity sum",
            Self::Share => "cations and the acidity reckoned from its share sum",
            Self::Buffer => "cations and the acidity reckoned from the buffer pH sum",
            Self::NoneAtThisPh => "cations, without acidity at this pH, sum",
        }
    }
}

/// What the sample says of its acidity, cmol(+)/kg, and by what.
fn acidity(sample: &Sample, tolerances: &Tolerances, cec: f64) -> Option<(f64, Acidity)> {
    if let Some(printed) = value(sample, Analyte::Acidity) {
        return Some((printed, Acidity::Printed));
    }
    if let Some(share) = value(sample, Analyte::SatH) {
        return Some((share * cec / 100.0, Acidity::Share));
    }
    if let Some(buffer) = only(sample, Analyte::BufferPh) {
        let rule = acidity_from_buffer(buffer.method, buffer.quantity.value).ok().flatten();
        return rule.and_then(|a| a.cmol_per_kg(None)).map(|a| (a, Acidity::Buffer));
    }
    let ph = only(sample, Analyte::Ph).filter(|r| !matches!(r.method, Method::Cacl2 | Method::Kcl))?;
    tolerances.no_acidity(ph.quantity.value).then_some((0.0, Acidity::NoneAtThisPh))
}

/// Charge of the printed bases; none where K, Ca or Mg is missing or per volume.
fn bases(sample: &Sample) -> Option<f64> {
    let mut sum = 0.0;
    for cation in CATIONS {
        match only(sample, cation) {
            Some(r) if r.quantity.basis == Some(Basis::Volume) => return None,
            Some(r) => sum += r.quantity.value / cation.mg_per_cmol()?,
            None if cation == Analyte::Sodium => {}
            None => return None,
        }
    }
    Some(sum)
}

/// The printed CEC where the cations should sum to it.
fn comparable(sample: &Sample) -> Option<f64> {
    let cec = only(sample, Analyte::Cec)?;
    // Displacement with ammonium acetate measures the complex by itself; the extractable cations need not sum to it.
    if cec.method == Method::AmmoniumAcetate || cec.quantity.basis == Some(Basis::Volume) {
        return None;
    }
    Some(cec.quantity.value)
}

/// What the cations leave of a summed CEC where the buffer pH alone tells the acidity.
pub(super) fn left_to_a_buffer(sample: &Sample) -> Option<Point> {
    if [Analyte::Acidity, Analyte::SatH].into_iter().any(|a| value(sample, a).is_some()) {
        return None;
    }
    let buffer = only(sample, Analyte::BufferPh)?;
    Some(Point {
        buffer: buffer.method,
        buffer_ph: buffer.quantity.value,
        bases: bases(sample)?,
        cec: comparable(sample)?,
    })
}

fn closure(sample: &Sample, tolerances: &Tolerances) -> Option<(Closure, Acidity)> {
    let cec = comparable(sample)?;
    let (acidity, by) = acidity(sample, tolerances, cec)?;
    Some((tolerances.cec_closure(bases(sample)? + acidity, cec), by))
}

/// Cations printed without a unit: one unit that closes where the other does not is the unit.
fn settle_unit(sample: &mut Sample, tolerances: &Tolerances) {
    let missing = |s: &Sample| {
        CATIONS
            .iter()
            .filter_map(|c| only(s, *c))
            .all(|r| r.doubts.iter().any(|d| d.reason == "unit-missing"))
    };
    if !missing(sample) || only(sample, Analyte::Calcium).is_none() {
        return;
    }
    let known = value(sample, Analyte::Cec)
        .filter(|_| comparable(sample).is_some())
        .and_then(|cec| acidity(sample, tolerances, cec));
    let Some((acidity, _)) = known.filter(|(_, by)| by.is_firm()) else { return };
    let ways = units_that_close(sample, tolerances, acidity);
    let [(factors, words)] = ways.as_slice() else {
        // Several close: the doubt stays, and names them.
        let named: Vec<String> =
            ways.iter().map(|(_, w)| format!("the cations sum to the CEC {w}")).collect();
        let doubts =
            sample.readings.iter_mut().filter(|r| CATIONS.contains(&r.analyte)).flat_map(|r| &mut r.doubts);
        for doubt in doubts.filter(|d| d.reason == "unit-missing" && !named.is_empty()) {
            doubt.alternatives.clone_from(&named);
        }
        return;
    };
    for (analyte, factor) in ORDER.into_iter().zip(factors) {
        for reading in sample.readings.iter_mut().filter(|r| r.analyte == analyte) {
            reading.quantity.value *= factor;
            reading.doubts.retain(|d| d.reason != "unit-missing");
            reading.witnesses.push(format!("the cations sum to the CEC {words} and in no other unit"));
        }
    }
}

/// Each printed saturation against the one recomputed. Returns which cations agreed and which did not.
///
/// Laboratories reckon shares from the exact sum, not from the CEC as printed: of the printed CEC and the sums that
/// calcium and magnesium imply, the one that explains most shares counts, and must itself be near the printed CEC.
fn saturations(sample: &mut Sample, tolerances: &Tolerances) -> Shares {
    let Some(printed_cec) = value(sample, Analyte::Cec).filter(|c| *c > 0.0) else {
        return Shares::default();
    };
    let pairs: Vec<Pair> =
        CATIONS.into_iter().chain([Analyte::Acidity]).filter_map(|c| pair(sample, c)).collect();
    let implied = [Analyte::Calcium, Analyte::Magnesium].into_iter().filter_map(|c| {
        pairs.iter().find(|p| p.cation == c && p.printed > 0.0).map(|p| 100.0 * p.charge / p.printed)
    });
    let mut best = judge(&pairs, printed_cec, tolerances);
    let mut base = printed_cec;
    let own = bases(sample)
        .zip(acidity(sample, tolerances, printed_cec))
        .map(|(bases, (acidity, _))| bases + acidity);
    for sum in implied.chain(own) {
        let other = judge(&pairs, sum, tolerances);
        if other.agreed.len() > best.agreed.len() {
            best = other;
            base = sum;
        }
    }
    // A sum taken from one pair agrees with that pair by construction; two others make it a witness.
    let fewest = limit("implied-fewest");
    let agreed = f64::from(u32::try_from(best.agreed.len()).unwrap_or(0));
    // A limit that is not there compares with nothing, and then too few agree.
    let enough = agreed.partial_cmp(&fewest).is_some_and(std::cmp::Ordering::is_ge);
    if base != printed_cec && !enough {
        best.agreed.clear();
    }
    for cation in best.agreed.clone() {
        let share = cation.saturation().unwrap_or(cation);
        witness(sample, &[cation, share], AGREES);
    }
    if base != printed_cec && tolerances.cec_fails(base, printed_cec) && !best.agreed.is_empty() {
        // Shares and cations tell one story and the CEC another: the CEC alone is in doubt.
        let sentence = format!(
            "The cations and their saturations agree on a CEC of {base:.1} cmol/kg, but {printed_cec} is printed."
        );
        hold(sample, &[Analyte::Cec], "cec-against-shares", &sentence, &[]);
    } else if !best.agreed.is_empty() && best.agreed.len() >= best.failed.len() {
        witness(sample, &[Analyte::Cec], "agrees with the saturations");
    }
    for (cation, share, result) in best.failed.clone() {
        let sentence = format!(
            "{} and the CEC give {:.1} % {}, but {} % is printed.",
            cation.name(),
            result.calculated,
            share.name(),
            result.printed
        );
        let mut held = vec![cation, share];
        // Where most shares fail the CEC itself is the likely fault.
        if best.failed.len() > best.agreed.len() {
            held.push(Analyte::Cec);
        }
        let others = alternatives(sample, tolerances, result);
        hold(sample, &held, "saturation", &sentence, &others);
    }
    best
}

struct Pair {
    cation: Analyte,
    share: Analyte,
    charge: f64,
    printed: f64,
    decimals: u8,
}

fn pair(sample: &Sample, cation: Analyte) -> Option<Pair> {
    let share = cation.saturation()?;
    let amount = only(sample, cation).filter(|r| r.quantity.basis != Some(Basis::Volume))?;
    let printed = only(sample, share)?;
    Some(Pair {
        cation,
        share,
        charge: amount.quantity.value / cation.mg_per_cmol().unwrap_or(1.0),
        printed: printed.quantity.value,
        decimals: printed_decimals(printed),
    })
}

fn judge(pairs: &[Pair], cec: f64, tolerances: &Tolerances) -> Shares {
    let mut shares = Shares::default();
    for p in pairs {
        let Some(calculated) = saturation_percent(p.charge, cec) else { continue };
        let result = tolerances.saturation_of(calculated, p.printed, p.decimals);
        if result.closes {
            shares.agreed.push(p.cation);
        } else {
            shares.failed.push((p.cation, p.share, result));
        }
    }
    shares
}

#[derive(Debug, Default, Clone)]
struct Shares {
    agreed: Vec<Analyte>,
    failed: Vec<(Analyte, Analyte, Closure)>,
}

/// A calculated figure about twice the printed one is pounds per acre taken for mg/kg, about half the reverse.
fn unit_slip(closure: Closure) -> Vec<String> {
    let twice = limit("pounds-ratio-from")..limit("pounds-ratio-to");
    match closure.ratio() {
        Some(r) if twice.contains(&r) => {
            vec!["the figures agree if pounds per acre were printed as mg/kg".to_owned()]
        }
        Some(r) if twice.contains(&(1.0 / r)) => {
            vec!["the figures agree if mg/kg were printed as pounds per acre".to_owned()]
        }
        _ => Vec::new(),
    }
}

/// The ways in which the sheet would close, by the whole of its cations first, else by the ratio of one closure.
fn alternatives(sample: &Sample, tolerances: &Tolerances, failed: Closure) -> Vec<String> {
    let whole = comparable(sample)
        .and_then(|cec| acidity(sample, tolerances, cec))
        .map(|(acidity, _)| explanations(sample, tolerances, acidity))
        .unwrap_or_default();
    if whole.is_empty() { unit_slip(failed) } else { whole }
}

/// Cations and acidity against the printed CEC.
fn sum(sample: &mut Sample, tolerances: &Tolerances, shares: Shares) {
    let Some((result, by)) = closure(sample, tolerances) else { return };
    if result.closes {
        witness(sample, &GROUP, &format!("the {} to the CEC", by.summed()));
        for reading in sample.readings.iter_mut().filter(|r| GROUP.contains(&r.analyte)) {
            // A former season's column closes as well as the present one: where whole columns compete, nothing is told.
            reading.doubts.retain(|d| match d.reason.as_str() {
                "column-unsure" => !d.alternatives.is_empty(),
                "pounds-depth" => false,
                _ => true,
            });
        }
        return;
    }
    // Where Ca and Mg each agree with their printed share, the sum fails only by what is not printed (sodium,
    // another buffer rule), and the shares are the better witness.
    let majors_agree = [Analyte::Calcium, Analyte::Magnesium].iter().all(|a| shares.agreed.contains(a));
    if majors_agree || !by.is_firm() && shares.failed.is_empty() && !shares.agreed.is_empty() {
        return;
    }
    if !tolerances.cec_fails(result.calculated, result.printed) {
        return;
    }
    let sentence = format!(
        "The {} to {:.1} cmol/kg, but a CEC of {} is printed.",
        by.summed(),
        result.calculated,
        result.printed
    );
    let others = alternatives(sample, tolerances, result);
    hold(sample, &GROUP, "cec-closure", &sentence, &others);
}

/// Cations other than calcium, which lime in the soil adds to, hold no more charge than the whole complex: where they do, a
/// unit or a column was taken for another, whatever else is missing.
fn over(sample: &mut Sample) {
    let mass = |a: Analyte| only(sample, a).filter(|r| r.quantity.basis != Some(Basis::Volume));
    let Some(cec) = mass(Analyte::Cec).map(|r| r.quantity.value) else { return };
    let charges: Vec<(Analyte, f64)> = CATIONS
        .into_iter()
        .filter(|c| *c != Analyte::Calcium)
        .filter_map(|c| Some((c, mass(c)?.quantity.value / c.mg_per_cmol()?)))
        .collect();
    let sum: f64 = charges.iter().map(|(_, charge)| charge).sum();
    if sum > limit("over-cec") * cec {
        let names: Vec<&str> = charges.iter().map(|(c, _)| c.name()).collect();
        let sentence = format!(
            "{} alone hold {sum:.1} cmol/kg, more than the CEC of {cec} that is printed.",
            names.join(", ")
        );
        let held: Vec<Analyte> = charges.iter().map(|(c, _)| *c).chain([Analyte::Cec]).collect();
        hold(sample, &held, "cations-over-cec", &sentence, &[]);
    }
}

/// A share whose own cation is not printed, where the printed amounts of the others fill the complex without it and it has
/// no room beside them: `Na` in mg/kg behind a group of saturations is none of these.
fn no_room(sample: &mut Sample) {
    let mass = |a: Analyte| only(sample, a).filter(|r| r.quantity.basis != Some(Basis::Volume));
    let Some(cec) = mass(Analyte::Cec).map(|r| r.quantity.value).filter(|cec| *cec > 0.0) else { return };
    let bases = [Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium];
    let charges = |c: &Analyte| Some(mass(*c)?.quantity.value / c.mg_per_cmol()?);
    let Some(amounts) = bases.iter().map(charges).sum::<Option<f64>>() else { return };
    let most = limit("over-cec") * cec;
    let apart: Vec<(Analyte, f64)> = [Analyte::Sodium, Analyte::Acidity]
        .into_iter()
        .filter(|c| only(sample, *c).is_none())
        .filter_map(|c| c.saturation())
        .filter_map(|share| Some((share, value(sample, share)? * cec / 100.0)))
        .collect();
    for (share, charge) in apart {
        if amounts <= most && amounts + charge > most {
            let sentence = format!(
                "K, Ca and Mg hold {amounts:.1} of the {cec} cmol/kg that are printed for the CEC, which leaves no room for {}.",
                share.name()
            );
            hold(sample, &[share], "share-without-room", &sentence, &[]);
        }
    }
}

/// Printed saturations that should fill a hundred.
fn full(sample: &mut Sample, tolerances: &Tolerances) {
    const ALL: [Analyte; 5] = [Analyte::SatK, Analyte::SatCa, Analyte::SatMg, Analyte::SatNa, Analyte::SatH];
    let printed: Vec<(Analyte, f64, u8)> = ALL
        .iter()
        .filter_map(|a| only(sample, *a).map(|r| (*a, r.quantity.value, printed_decimals(r))))
        .collect();
    if !ALL.iter().take(3).all(|a| printed.iter().any(|(p, ..)| p == a)) {
        return;
    }
    let fewest = printed.iter().map(|(.., d)| *d).min().unwrap_or(0);
    let values: Vec<f64> = printed.iter().map(|(_, v, _)| *v).collect();
    let result = tolerances.saturation_sum(&values, fewest);
    let has = |a: Analyte| printed.iter().any(|(p, ..)| *p == a);
    if result.closes {
        let names: Vec<Analyte> = printed.iter().map(|(a, ..)| *a).collect();
        witness(sample, &names, FULL);
        return;
    }
    let short = result.calculated < result.printed;
    // A shortfall is the part that is not printed.
    if short && !(has(Analyte::SatH) && has(Analyte::SatNa)) {
        return;
    }
    let sentence = format!("The printed saturations sum to {:.1} %, not to 100.", result.calculated);
    hold(sample, &ALL, "saturation-sum", &sentence, &[]);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{doubted, sample};
    use super::*;

    fn neutral() -> Sample {
        // Worked case of the check values: K 200, Ca 2400, Mg 360, Na 23 mg/kg at pH 7 give a CEC of 15.55.
        sample(&[
            (Analyte::Ph, "7.1"),
            (Analyte::Potassium, "200"),
            (Analyte::Calcium, "2400"),
            (Analyte::Magnesium, "360"),
            (Analyte::Sodium, "23"),
            (Analyte::Cec, "15.6"),
        ])
    }

    #[test]
    fn a_sheet_that_closes_gains_a_witness_and_no_doubt() {
        let mut s = neutral();
        check(&mut s);
        assert_eq!(doubted(&s), []);
        assert!(s.readings[2].witnesses.iter().any(|w| w.contains("sum to the CEC")));
    }

    #[test]
    fn a_swapped_digit_in_calcium_holds_the_group() {
        let mut s = neutral();
        s.readings[2].quantity.value = 4200.0;
        check(&mut s);
        assert!(doubted(&s).contains(&Analyte::Calcium));
        assert!(doubted(&s).contains(&Analyte::Cec));
        assert!(!doubted(&s).contains(&Analyte::Ph));
    }

    #[test]
    fn pounds_taken_for_mg_per_kg_are_named() {
        let mut s = neutral();
        for r in s.readings.iter_mut().filter(|r| CATIONS.contains(&r.analyte)) {
            r.quantity.value *= 2.0;
        }
        check(&mut s);
        assert!(s.readings[2].doubts[0].alternatives[0].contains("pounds per acre"));
    }

    #[test]
    fn acidity_that_nobody_printed_is_said_to_be_reckoned() {
        let with = |analyte: Analyte, text: &str, method: Method| {
            let mut s = sample(&[
                (Analyte::Ph, "5.9"),
                (Analyte::Potassium, "200"),
                (Analyte::Calcium, "2400"),
                (Analyte::Magnesium, "360"),
                (Analyte::Cec, "21.5"),
                (analyte, text),
            ]);
            s.readings[5].method = method;
            s
        };
        let told = |mut s: Sample| {
            check(&mut s);
            let sums = |w: &&String| w.contains("sum to the CEC");
            s.readings[2].witnesses.iter().find(sums).cloned()
        };
        let by_buffer = with(Analyte::BufferPh, "6.5", Method::Smp);
        assert!(told(by_buffer.clone()).unwrap().contains("reckoned from the buffer pH"));
        assert!(told(with(Analyte::SatH, "27.9", Method::Unstated)).unwrap().contains("from its share"));
        assert!(!told(with(Analyte::Acidity, "6.0", Method::Unstated)).unwrap().contains("reckoned"));
        let mut far = by_buffer;
        far.readings[2].quantity.value = 9000.0;
        check(&mut far);
        let doubt = far.readings[2].doubts.iter().find(|d| d.reason == "cec-closure").unwrap();
        assert!(doubt.sentence.contains("the acidity reckoned from the buffer pH sum to"), "{doubt:?}");
    }

    #[test]
    fn a_missing_unit_is_settled_by_the_sum() {
        let mut s = neutral();
        for r in s.readings.iter_mut().filter(|r| CATIONS.contains(&r.analyte)) {
            r.quantity.value *= 2.0;
            r.doubts.push(crate::soil::Doubt::new("unit-missing", "no unit"));
        }
        check(&mut s);
        assert_eq!(doubted(&s), []);
        assert_eq!(s.readings[2].quantity.value, 2400.0);
    }

    #[test]
    fn sodium_beyond_the_whole_complex_is_held_though_the_other_cations_are_missing() {
        // 97 mg/kg read as 97 cmol/kg: 22300 mg/kg.
        let with = |na| sample(&[(Analyte::Sodium, na), (Analyte::Calcium, "9000"), (Analyte::Cec, "24.4")]);
        let (mut odd, mut plain) = (with("22300"), with("97"));
        check(&mut odd);
        check(&mut plain);
        assert_eq!(doubted(&odd), [Analyte::Sodium, Analyte::Cec]);
        assert_eq!(doubted(&plain), [], "calcium may come of lime in the soil");
    }

    #[test]
    fn a_share_that_has_no_room_beside_the_other_cations_is_held() {
        let with = |share: Analyte, text: &str| {
            let mut s = sample(&[
                (Analyte::Potassium, "170"),
                (Analyte::Calcium, "4702"),
                (Analyte::Magnesium, "211"),
                (Analyte::Cec, "26.6"),
                (share, text),
            ]);
            check(&mut s);
            doubted(&s)
        };
        assert_eq!(with(Analyte::SatNa, "31"), [Analyte::SatNa]);
        assert_eq!(with(Analyte::SatNa, "2.1"), []);
        assert_eq!(with(Analyte::SatH, "3"), []);
    }

    #[test]
    fn one_wrong_saturation_holds_its_pair_alone() {
        let mut s = sample(&[
            (Analyte::Potassium, "200"),
            (Analyte::Calcium, "2400"),
            (Analyte::Magnesium, "360"),
            (Analyte::Cec, "15.6"),
            (Analyte::SatK, "3.3"),
            (Analyte::SatCa, "77.0"),
            (Analyte::SatMg, "91.0"),
        ]);
        check(&mut s);
        assert_eq!(doubted(&s), [Analyte::Magnesium, Analyte::SatK, Analyte::SatCa, Analyte::SatMg]);
    }
}
