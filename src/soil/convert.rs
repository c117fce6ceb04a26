//! Conversions between printed and canonical quantities, between oxides and elements, masses and areas.
//!
//! Definitions: 1 acre = 43 560 ft2, 1 lb = 0.45359237 kg, 1 in = 2.54 cm (international yard and pound, exact).
//! Atomic weights: IUPAC abridged values, from memory: H 1.008, C 12.011, N 14.007, O 15.999, Mg 24.305,
//! P 30.974, S 32.06, K 39.098, Ca 40.078. Where another source is needed it stands at the function.

/// Square feet in an acre, exact.
pub const FT2_PER_ACRE: f64 = 43_560.0;
/// Kilograms in a pound, exact.
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Centimetres in an inch, exact.
pub const CM_PER_INCH: f64 = 2.54;
/// Pounds in a short ton, exact.
pub const LB_PER_SHORT_TON: f64 = 2_000.0;
/// Square metres in an acre of international feet.
pub const M2_PER_ACRE: f64 = FT2_PER_ACRE * 0.3048 * 0.3048;
/// Square feet in a square metre.
pub const FT2_PER_M2: f64 = 1.0 / (0.3048 * 0.3048);
/// Square metres in a hectare, exact.
const M2_PER_HA: f64 = 10_000.0;
/// Soil in an acre of the furrow slice by convention (6 2/3 inches); OSU AgBMPs, "Understanding Soil Test
/// Reports for Phosphorus Values": 60 lb/A = 30 ppm.
pub const FURROW_SLICE_LB_PER_ACRE: f64 = 2_000_000.0;
/// Depth of that slice, inches.
pub const FURROW_SLICE_IN: f64 = 20.0 / 3.0;
/// Soil in an acre-inch, lb: the same convention at any depth (UC Davis method 450: 8 inches = 2.4 million lb).
pub const SOIL_LB_PER_ACRE_INCH: f64 = 300_000.0;

const C: f64 = 12.011;
const H: f64 = 1.008;
const N: f64 = 14.007;
const O: f64 = 15.999;
const MG: f64 = 24.305;
const P: f64 = 30.974;
const S: f64 = 32.06;
const K: f64 = 39.098;
const CA: f64 = 40.078;

/// mg/kg to lb/acre by the furrow-slice convention of 2 000 000 lb of soil an acre, whatever the sampled depth.
pub fn mg_per_kg_to_lb_per_acre_by_convention(mg_per_kg: f64) -> f64 {
    mg_per_kg * FURROW_SLICE_LB_PER_ACRE / 1e6
}

/// lb/acre to mg/kg by the furrow-slice convention of 2 000 000 lb of soil an acre.
pub fn lb_per_acre_to_mg_per_kg_by_convention(lb_per_acre: f64) -> f64 {
    lb_per_acre * 1e6 / FURROW_SLICE_LB_PER_ACRE
}

/// mg/kg to lb/acre in a layer of this thickness in inches (0.3 an inch).
pub fn mg_per_kg_to_lb_per_acre_at_depth_in(mg_per_kg: f64, thickness_in: f64) -> f64 {
    mg_per_kg * SOIL_LB_PER_ACRE_INCH * thickness_in / 1e6
}

/// lb/acre in a layer of this thickness in inches to mg/kg; none for a layer without thickness.
pub fn lb_per_acre_to_mg_per_kg_at_depth_in(lb_per_acre: f64, thickness_in: f64) -> Option<f64> {
    (thickness_in > 0.0).then(|| lb_per_acre * 1e6 / (SOIL_LB_PER_ACRE_INCH * thickness_in))
}

/// A sampled layer for a sum over the profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Content, mg/kg.
    pub mg_per_kg: f64,
    /// Upper edge, inches.
    pub top_in: f64,
    /// Lower edge, inches.
    pub bottom_in: f64,
}

/// lb/acre summed over layers, as laboratories do for nitrate-N (factor 0.3 an inch: common practice).
pub fn layers_to_lb_per_acre(layers: &[Layer]) -> f64 {
    layers
        .iter()
        .map(|layer| mg_per_kg_to_lb_per_acre_at_depth_in(layer.mg_per_kg, layer.bottom_in - layer.top_in))
        .sum()
}

/// mg/kg to kg/ha in a layer of this thickness and bulk density.
pub fn mg_per_kg_to_kg_per_ha(mg_per_kg: f64, bulk_density_g_per_cm3: f64, thickness_cm: f64) -> f64 {
    mg_per_kg * bulk_density_g_per_cm3 * thickness_cm * 0.1
}

/// Bulk density that a mass of soil an acre in a layer implies, g/cm3; none for a layer without thickness.
pub fn implied_bulk_density_g_per_cm3(soil_lb_per_acre: f64, thickness_in: f64) -> Option<f64> {
    let cm3_per_acre = M2_PER_ACRE * 1e4 * thickness_in * CM_PER_INCH;
    (thickness_in > 0.0).then(|| soil_lb_per_acre * KG_PER_LB * 1e3 / cm3_per_acre)
}

/// Soil mass an acre-inch, lb, from the mass of a layer; none for a layer without thickness.
pub fn soil_lb_per_acre_inch(soil_lb_per_acre: f64, thickness_in: f64) -> Option<f64> {
    (thickness_in > 0.0).then(|| soil_lb_per_acre / thickness_in)
}

/// P2O5 in a mass of P (x 2.2913).
pub fn p_to_p2o5(p: f64) -> f64 {
    p * (2.0 * P + 5.0 * O) / (2.0 * P)
}

/// P in a mass of P2O5 (x 0.4364).
pub fn p2o5_to_p(p2o5: f64) -> f64 {
    p2o5 / p_to_p2o5(1.0)
}

/// K2O in a mass of K (x 1.2046).
pub fn k_to_k2o(k: f64) -> f64 {
    k * (2.0 * K + O) / (2.0 * K)
}

/// K in a mass of K2O (x 0.8302).
pub fn k2o_to_k(k2o: f64) -> f64 {
    k2o / k_to_k2o(1.0)
}

/// MgO in a mass of Mg (x 1.658).
pub fn mg_to_mgo(mg: f64) -> f64 {
    mg * (MG + O) / MG
}

/// Mg in a mass of MgO.
pub fn mgo_to_mg(mgo: f64) -> f64 {
    mgo / mg_to_mgo(1.0)
}

/// CaO in a mass of Ca (x 1.399).
pub fn ca_to_cao(ca: f64) -> f64 {
    ca * (CA + O) / CA
}

/// Sodium in sodium oxide: Na2O x 0.7419 (IUPAC atomic weights, from memory: Na 22.990, O 15.999).
pub fn na2o_to_na(na2o: f64) -> f64 {
    na2o * (2.0 * 22.990) / (2.0 * 22.990 + 15.999)
}

/// Ca in a mass of CaO.
pub fn cao_to_ca(cao: f64) -> f64 {
    cao / ca_to_cao(1.0)
}

/// SO3 in a mass of S (x 2.50).
pub fn s_to_so3(s: f64) -> f64 {
    s * (S + 3.0 * O) / S
}

/// S in a mass of SO3.
pub fn so3_to_s(so3: f64) -> f64 {
    so3 / s_to_so3(1.0)
}

/// N in a mass of nitrate (x 0.2259).
pub fn no3_to_n(no3: f64) -> f64 {
    no3 * N / (N + 3.0 * O)
}

/// N in a mass of ammonium (x 0.7765).
pub fn nh4_to_n(nh4: f64) -> f64 {
    nh4 * N / (N + 4.0 * H)
}

/// S in a mass of sulfate (x 0.3338).
pub fn so4_to_s(so4: f64) -> f64 {
    so4 * S / (S + 4.0 * O)
}

/// Equivalent mass of CaCO3, g: half its molar mass, what 1 mole of charge of acidity needs.
pub const CACO3_G_PER_EQUIVALENT: f64 = (CA + C + 3.0 * O) / 2.0;

/// Equivalent mass of gypsum (CaSO4 . 2 H2O), g.
pub const GYPSUM_G_PER_EQUIVALENT: f64 = (CA + S + 6.0 * O + 4.0 * H) / 2.0;

/// lb/acre to lb/1000 ft2.
pub fn lb_per_acre_to_lb_per_1000_ft2(lb_per_acre: f64) -> f64 {
    lb_per_acre * 1_000.0 / FT2_PER_ACRE
}

/// lb/1000 ft2 to lb/acre.
pub fn lb_per_1000_ft2_to_lb_per_acre(lb_per_1000_ft2: f64) -> f64 {
    lb_per_1000_ft2 * FT2_PER_ACRE / 1_000.0
}

/// lb/acre to kg/ha.
pub fn lb_per_acre_to_kg_per_ha(lb_per_acre: f64) -> f64 {
    lb_per_acre * KG_PER_LB * M2_PER_HA / M2_PER_ACRE
}

/// kg/ha to lb/acre.
pub fn kg_per_ha_to_lb_per_acre(kg_per_ha: f64) -> f64 {
    kg_per_ha / lb_per_acre_to_kg_per_ha(1.0)
}

/// Mg/ha (metric tonnes a hectare) to short tons an acre; NDSU "Gypsum requirement" prints 0.44609.
pub fn tonne_per_ha_to_short_ton_per_acre(tonne_per_ha: f64) -> f64 {
    kg_per_ha_to_lb_per_acre(tonne_per_ha * 1_000.0) / LB_PER_SHORT_TON
}

/// Short tons an acre to lb/1000 ft2.
pub fn short_ton_per_acre_to_lb_per_1000_ft2(short_ton_per_acre: f64) -> f64 {
    lb_per_acre_to_lb_per_1000_ft2(short_ton_per_acre * LB_PER_SHORT_TON)
}

/// mmho/cm or mS/cm to dS/m: the same number.
pub fn mmho_per_cm_to_ds_per_m(mmho_per_cm: f64) -> f64 {
    mmho_per_cm
}

/// dS/m to uS/cm.
pub fn ds_per_m_to_us_per_cm(ds_per_m: f64) -> f64 {
    ds_per_m * 1_000.0
}

/// uS/cm to dS/m.
pub fn us_per_cm_to_ds_per_m(us_per_cm: f64) -> f64 {
    us_per_cm / 1_000.0
}

/// Inches to centimetres.
pub fn inch_to_cm(inch: f64) -> f64 {
    inch * CM_PER_INCH
}

/// Organic matter from organic carbon by a stated factor, for display beside the printed value only: published
/// factors run from 1.4 to 2.5 (Pribyl, Geoderma 156, 2010), the customary 1.724 assumes 58 % carbon (INSPIRE
/// code list after ISO 11074:2005). A carbon value never enters a series of organic matter.
pub fn organic_carbon_to_matter_percent(carbon_percent: f64, factor: f64) -> f64 {
    carbon_percent * factor
}

/// Organic carbon from organic matter by a stated factor, for display only; none for a factor of 0.
pub fn organic_matter_to_carbon_percent(matter_percent: f64, factor: f64) -> Option<f64> {
    (factor > 0.0).then(|| matter_percent / factor)
}

/// g/kg to percent.
pub fn g_per_kg_to_percent(g_per_kg: f64) -> f64 {
    g_per_kg / 10.0
}

/// Percent to mg/kg.
pub fn percent_to_mg_per_kg(percent: f64) -> f64 {
    percent * 10_000.0
}

/// lb of CaCO3 an acre that neutralise an acidity in a mass of soil (stoichiometry only: no buffer, no target).
pub fn acidity_to_lb_caco3_per_acre(acidity_meq_per_100g: f64, soil_lb_per_acre: f64) -> f64 {
    acidity_meq_per_100g * CACO3_G_PER_EQUIVALENT / 1e5 * soil_lb_per_acre
}

/// lb of gypsum an acre whose calcium replaces a sodium content in a mass of soil (stoichiometry only).
pub fn sodium_to_lb_gypsum_per_acre(sodium_meq_per_100g: f64, soil_lb_per_acre: f64) -> f64 {
    sodium_meq_per_100g * GYPSUM_G_PER_EQUIVALENT / 1e5 * soil_lb_per_acre
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-12)
    }

    #[test]
    fn a_six_inch_sample_has_two_honest_answers_and_they_differ() {
        assert!(close(mg_per_kg_to_lb_per_acre_by_convention(30.0), 60.0));
        assert!(close(mg_per_kg_to_lb_per_acre_at_depth_in(30.0, 6.0), 54.0));
        assert!(close(mg_per_kg_to_lb_per_acre_at_depth_in(30.0, FURROW_SLICE_IN), 60.0));
        assert_eq!(lb_per_acre_to_mg_per_kg_at_depth_in(60.0, 0.0), None);
    }

    proptest! {
        #[test]
        fn there_and_back_is_the_same_number(v in 0.0..1e6f64, depth in 0.5..60.0f64) {
            prop_assert!(close(v, lb_per_acre_to_mg_per_kg_by_convention(mg_per_kg_to_lb_per_acre_by_convention(v))));
            let there = mg_per_kg_to_lb_per_acre_at_depth_in(v, depth);
            prop_assert!(lb_per_acre_to_mg_per_kg_at_depth_in(there, depth).is_some_and(|back| close(v, back)));
            prop_assert!(close(v, p2o5_to_p(p_to_p2o5(v))));
            prop_assert!(close(v, k2o_to_k(k_to_k2o(v))));
            prop_assert!(close(v, mgo_to_mg(mg_to_mgo(v))));
            prop_assert!(close(v, cao_to_ca(ca_to_cao(v))));
            prop_assert!(close(v, so3_to_s(s_to_so3(v))));
            prop_assert!(close(v, lb_per_1000_ft2_to_lb_per_acre(lb_per_acre_to_lb_per_1000_ft2(v))));
            prop_assert!(close(v, kg_per_ha_to_lb_per_acre(lb_per_acre_to_kg_per_ha(v))));
            prop_assert!(close(v, us_per_cm_to_ds_per_m(ds_per_m_to_us_per_cm(v))));
        }

        #[test]
        fn splitting_a_layer_does_not_change_the_sum(v in 0.0..500.0f64, top in 0.0..10.0f64, a in 0.1..20.0f64, b in 0.1..20.0f64) {
            let whole = [Layer { mg_per_kg: v, top_in: top, bottom_in: top + a + b }];
            let split = [
                Layer { mg_per_kg: v, top_in: top, bottom_in: top + a },
                Layer { mg_per_kg: v, top_in: top + a, bottom_in: top + a + b },
            ];
            prop_assert!((layers_to_lb_per_acre(&whole) - layers_to_lb_per_acre(&split)).abs() < 1e-6);
        }
    }
}
