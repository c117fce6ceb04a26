//! Arithmetic of the exchange complex: CEC by summation, saturations, acidity from a buffer, SAR and ESP.
//!
//! Method: "CEC calculations", Clemson University Agricultural Service Laboratory (bases and acidity summed). In
//! calcareous or salty soil the extract dissolves carbonate or salts, so summed CEC and Ca saturation read high.

use super::analyte::Analyte;
use super::method::Method;
use super::table::{TableError, rows};
use super::unit::Basis;
use serde::Deserialize;
use std::sync::LazyLock;

/// The exchangeable bases of one sample, all in the same unit (the name of the binding says which).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bases {
    /// Potassium.
    pub potassium: f64,
    /// Calcium.
    pub calcium: f64,
    /// Magnesium.
    pub magnesium: f64,
    /// Sodium; 0 where it was not measured.
    pub sodium: f64,
}

impl Bases {
    /// Milligrams in a millimole of charge (mg/kg that make 1 cmol(+)/kg) from atomic weights.
    pub fn mg_per_cmol() -> Self {
        // `mg_per_cmol` has a figure for each of the four; infinity would make a missing one contribute nothing.
        let weight = |analyte: Analyte| analyte.mg_per_cmol().unwrap_or(f64::INFINITY);
        Self {
            potassium: weight(Analyte::Potassium),
            calcium: weight(Analyte::Calcium),
            magnesium: weight(Analyte::Magnesium),
            sodium: weight(Analyte::Sodium),
        }
    }

    /// From mg/kg to cmol(+)/kg (= meq/100 g).
    pub fn cmol_from_mg_per_kg(self) -> Self {
        self.divided_by(Self::mg_per_cmol())
    }

    /// From cmol(+)/kg (= meq/100 g) to mg/kg.
    pub fn mg_per_kg_from_cmol(self) -> Self {
        let weights = Self::mg_per_cmol();
        Self {
            potassium: self.potassium * weights.potassium,
            calcium: self.calcium * weights.calcium,
            magnesium: self.magnesium * weights.magnesium,
            sodium: self.sodium * weights.sodium,
        }
    }

    /// Each divided by a laboratory's own figure (lb/acre by 782, 400, 240, 460; mg/kg by 390, 200, 120, 230 ...).
    pub fn divided_by(self, divisors: Self) -> Self {
        Self {
            potassium: self.potassium / divisors.potassium,
            calcium: self.calcium / divisors.calcium,
            magnesium: self.magnesium / divisors.magnesium,
            sodium: self.sodium / divisors.sodium,
        }
    }

    /// Sum of the four.
    pub fn sum(self) -> f64 {
        self.potassium + self.calcium + self.magnesium + self.sodium
    }
}

/// CEC by summation, cmol(+)/kg: bases and acidity, all cmol(+)/kg.
pub fn cec_by_summation(bases_cmol: Bases, acidity_cmol: f64) -> f64 {
    bases_cmol.sum() + acidity_cmol
}

/// Share of a cation (or of acidity) in the CEC, percent; none for a CEC that is not positive.
pub fn saturation_percent(cation_cmol: f64, cec_cmol: f64) -> Option<f64> {
    (cec_cmol > 0.0).then(|| 100.0 * cation_cmol / cec_cmol)
}

/// Shares of the exchange complex, percent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saturations {
    /// The four bases.
    pub bases: Bases,
    /// Acidity.
    pub hydrogen: f64,
}

/// All saturations at once from cmol(+)/kg; none for an empty exchange complex.
pub fn saturations_percent(bases_cmol: Bases, acidity_cmol: f64) -> Option<Saturations> {
    let cec = cec_by_summation(bases_cmol, acidity_cmol);
    let all = Bases { potassium: cec, calcium: cec, magnesium: cec, sodium: cec };
    let share = bases_cmol.divided_by(all);
    let hundred = Bases { potassium: 0.01, calcium: 0.01, magnesium: 0.01, sodium: 0.01 };
    saturation_percent(acidity_cmol, cec)
        .map(|hydrogen| Saturations { bases: share.divided_by(hundred), hydrogen })
}

/// Base saturation, percent; none for a CEC that is not positive.
pub fn base_saturation_percent(bases_cmol: f64, cec_cmol: f64) -> Option<f64> {
    saturation_percent(bases_cmol, cec_cmol)
}

/// One buffer: how its pH tells acidity, and the pH it has before any soil is in it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Buffer {
    /// Which.
    pub method: Method,
    /// meq per 100 g (or 100 cm3) for one pH unit below `zero_acidity_ph`; none where the buffer has no such rule.
    pub acidity_per_ph: Option<f64>,
    /// Buffer pH of a soil without acidity.
    pub zero_acidity_ph: Option<f64>,
    /// Whether the acidity is for 100 g or for 100 cm3 of soil.
    pub basis: Option<Basis>,
    /// pH of the buffer itself, which no soil raises.
    pub start_ph: f64,
    /// How far above its own start a buffer may be read.
    pub start_slack_ph: f64,
    /// Where the figures come from.
    pub source: String,
    /// READ, MEMORY or COMPUTED.
    pub checked: String,
}

static BUFFERS: LazyLock<Result<Vec<Buffer>, TableError>> =
    LazyLock::new(|| load_buffers(include_str!("buffers.csv")));

fn load_buffers(text: &str) -> Result<Vec<Buffer>, TableError> {
    const TABLE: &str = "buffers.csv";
    let buffers: Vec<Buffer> = rows(TABLE, text)?;
    for (row, buffer) in (1..).zip(&buffers) {
        let rule = (buffer.acidity_per_ph, buffer.zero_acidity_ph, buffer.basis);
        let whole = matches!(rule, (None, None, None) | (Some(_), Some(_), Some(_)));
        let twice = buffers.iter().filter(|other| other.method == buffer.method).count() > 1;
        let why = if !whole {
            "an acidity rule needs its slope, its zero and its basis"
        } else if twice {
            "the buffer stands twice"
        } else if !buffer.method.measures(Analyte::BufferPh) {
            "this is not a buffer"
        } else if buffer.source.is_empty() {
            "no source"
        } else {
            continue;
        };
        return Err(TableError::new(TABLE, row, why));
    }
    Ok(buffers)
}

/// The buffers with a known rule or start.
///
/// # Errors
/// The built-in table is damaged.
pub fn buffers() -> Result<&'static [Buffer], TableError> {
    BUFFERS.as_deref().map_err(Clone::clone)
}

/// What is known of this buffer; none for one without figures.
///
/// # Errors
/// The built-in table is damaged.
pub fn buffer(method: Method) -> Result<Option<&'static Buffer>, TableError> {
    Ok(buffers()?.iter().find(|buffer| buffer.method == method))
}

/// Acidity told by a buffer pH, with what it refers to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Acidity {
    /// meq per 100 g of soil, or per 100 cm3 where `basis` is `Volume`.
    pub meq_per_100: f64,
    /// Mass or volume of soil.
    pub basis: Basis,
}

impl Acidity {
    /// In cmol(+)/kg: as it stands on a mass basis, divided by the density of the scooped soil on a volume basis.
    pub fn cmol_per_kg(self, scoop_density_g_per_cm3: Option<f64>) -> Option<f64> {
        match (self.basis, scoop_density_g_per_cm3) {
            (Basis::Mass, _) => Some(self.meq_per_100),
            (Basis::Volume, Some(density)) if density > 0.0 => Some(self.meq_per_100 / density),
            (Basis::Volume, _) => None,
        }
    }
}

impl Buffer {
    /// Acidity at this buffer pH, never negative; none where the buffer has no rule of its own.
    pub fn acidity(&self, buffer_ph: f64) -> Option<Acidity> {
        let (slope, zero, basis) = (self.acidity_per_ph?, self.zero_acidity_ph?, self.basis?);
        Some(Acidity { meq_per_100: (slope * (zero - buffer_ph)).max(0.0), basis })
    }
}

/// Acidity from a buffer pH by the buffer's own rule, never by another's; none where it has none.
///
/// # Errors
/// The built-in table is damaged.
pub fn acidity_from_buffer(method: Method, buffer_ph: f64) -> Result<Option<Acidity>, TableError> {
    Ok(buffer(method)?.and_then(|buffer| buffer.acidity(buffer_ph)))
}

/// Buffer pH behind a lime index (index = 10 x buffer pH).
pub fn lime_index_to_buffer_ph(lime_index: f64) -> f64 {
    lime_index / 10.0
}

/// Sodium adsorption ratio from meq/l of the saturation extract: Na / sqrt((Ca + Mg)/2), California State
/// University Sacramento glossary. None without calcium and magnesium. Never from an extractable cation.
pub fn sar_from_meq_per_l(sodium: f64, calcium: f64, magnesium: f64) -> Option<f64> {
    let divalent = (calcium + magnesium) / 2.0;
    (divalent > 0.0).then(|| sodium / divalent.sqrt())
}

/// The same from mg/l of the saturation extract, by the milligrams per milliequivalent of the same glossary.
pub fn sar_from_mg_per_l(sodium: f64, calcium: f64, magnesium: f64) -> Option<f64> {
    sar_from_meq_per_l(sodium / 23.0, calcium / 20.0, magnesium / 12.15)
}

/// Exchangeable sodium percentage from SAR, never negative: the relation of USDA Handbook 60 (1954) as quoted in
/// Oklahoma Administrative Code 165:10.
pub fn esp_percent_from_sar(sar: f64) -> f64 {
    let ratio = -0.0126 + 0.01475 * sar;
    (100.0 * ratio / (1.0 + ratio)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_buffers_are_sound() {
        assert!(buffers().is_ok_and(|buffers| !buffers.is_empty()));
    }

    #[test]
    fn a_buffer_twice_or_half_a_rule_is_refused() {
        let head = "method,acidity_per_ph,zero_acidity_ph,basis,start_ph,start_slack_ph,source,checked\n";
        for rows in [
            "smp,12,,mass,7.5,0.1,x,READ",
            "smp,,,,7.5,0.1,x,READ\nsmp,,,,7.5,0.1,x,READ",
            "olsen,,,,7,0.1,x,READ",
        ] {
            assert!(load_buffers(&format!("{head}{rows}\n")).is_err(), "{rows}");
        }
    }

    #[test]
    fn a_buffer_without_a_rule_of_its_own_borrows_none() {
        for method in
            [Method::ModifiedMehlich, Method::MooreSikora, Method::Unstated, Method::ModifiedAdamsEvans]
        {
            assert_eq!(acidity_from_buffer(method, 6.0), Ok(None), "{method}");
        }
    }

    #[test]
    fn acidity_by_volume_needs_the_density_of_the_scoop() {
        let acidity = acidity_from_buffer(Method::MehlichBuffer, 6.3).ok().flatten().unwrap();
        assert!((acidity.meq_per_100 - 1.2).abs() < 1e-9);
        assert_eq!(acidity.cmol_per_kg(None), None);
        assert!(acidity.cmol_per_kg(Some(1.2)).is_some_and(|cmol| (cmol - 1.0).abs() < 1e-9));
    }

    #[test]
    fn an_empty_exchange_complex_has_no_saturations() {
        let none = Bases { potassium: 0.0, calcium: 0.0, magnesium: 0.0, sodium: 0.0 };
        assert_eq!(saturations_percent(none, 0.0), None);
        assert_eq!(sar_from_meq_per_l(5.0, 0.0, 0.0), None);
        assert_eq!(esp_percent_from_sar(0.5), 0.0);
    }
}
