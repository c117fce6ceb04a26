//! Sand, silt and clay fill a hundred; strong Bray extracts at least what weak Bray does.

use super::{hold, value, witness};
use crate::soil::closure::Tolerances;
use crate::soil::{Analyte, Method, Sample};

/// Checks the sums of a sample.
pub fn check(sample: &mut Sample) {
    let Ok(tolerances) = Tolerances::built_in() else { return };
    const TEXTURE: [Analyte; 3] = [Analyte::Sand, Analyte::Silt, Analyte::Clay];
    if let (Some(sand), Some(silt), Some(clay)) =
        (value(sample, Analyte::Sand), value(sample, Analyte::Silt), value(sample, Analyte::Clay))
    {
        if tolerances.texture_sum(sand, silt, clay).closes {
            witness(sample, &TEXTURE, "sand, silt and clay fill a hundred");
        } else {
            let sentence = format!("Sand, silt and clay sum to {:.1} %, not to 100.", sand + silt + clay);
            hold(sample, &TEXTURE, "texture-sum", &sentence, &[]);
        }
    }
    let by = |method| {
        sample
            .readings
            .iter()
            .find(|r| r.analyte == Analyte::Phosphorus && r.method == method)
            .map(|r| r.quantity.value)
    };
    if let (Some(weak), Some(strong)) = (by(Method::BrayP1), by(Method::BrayP2))
        && strong < weak
    {
        let sentence = format!("Strong Bray ({strong}) cannot be below weak Bray ({weak}).");
        hold(sample, &[Analyte::Phosphorus], "bray-order", &sentence, &[]);
    }
}
