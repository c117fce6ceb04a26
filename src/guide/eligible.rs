//! May this scale speak of this reading: analyte, method, basis, soil and conditions must match before a class is
//! looked up. No match is no class, and the reason is said.

use super::catalog::Guide;
use super::condition::{Holds, condition};
use super::depth::depth_of;
use super::limits::{Limit, limit};
use super::region::{PhHabit, region};
use super::scale::{PrintedUnit, Scale};
use super::{Context, Measured};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Basis, Method, Site, Unit};

/// The answer of one test: go on (with what to bear in mind), or the reason why not.
pub(super) type Answer = Result<Result<Vec<String>, String>, TableError>;

/// What is known of free lime at a site: the keeper's word, else the water pH.
///
/// # Errors
/// The built-in table is damaged.
pub fn calcareous(site: &Site, context: &Context) -> Result<Option<bool>, TableError> {
    let above = limit(Limit::CalcareousAbovePh)?.value;
    Ok(site.calcareous.or(context.ph_above(above)))
}

/// Whether the extractant or the detection matches (rules 1, 2, 4).
pub(super) fn method(reading: &Measured, scale: &Scale, site: &Site) -> Answer {
    let (analyte, by) = (reading.analyte, reading.method);
    if by == Method::Unstated {
        return unstated(analyte, scale, site);
    }
    if scale.method == by {
        return Ok(Ok(Vec::new()));
    }
    let any = scale.method == Method::Unstated && any_method_will_do(analyte, scale);
    if !any {
        let name = analyte.name();
        return Ok(Err(match scale.method {
            Method::Unstated => format!("the guide does not say by which method it means {name}"),
            other => format!("{name} was measured by {by} and the guide speaks of {other}"),
        }));
    }
    if analyte == Analyte::Ph && matches!(by, Method::Cacl2 | Method::Kcl) {
        return Ok(Err(format!("this is a salt pH ({by}) and the guide speaks of water pH")));
    }
    Ok(Ok(match analyte {
        Analyte::Ph => vec![format!("the guide names no pH method; {by} is taken as water pH")],
        _ => vec![format!("the guide does not name its method; the result is by {by}")],
    }))
}

/// Where a guide's silence on the method may be read as any method of that analyte.
fn any_method_will_do(analyte: Analyte, scale: &Scale) -> bool {
    scale.method == Method::Unstated
        && (matches!(analyte, Analyte::Ph | Analyte::OrganicMatter | Analyte::Cec | Analyte::LimeIndex)
            || has_no_method(analyte))
}

/// Saturations are printed without a method everywhere; there is none to state.
fn has_no_method(analyte: Analyte) -> bool {
    Method::ALL.iter().all(|method| *method == Method::Unstated || !method.measures(analyte))
}

fn unstated(analyte: Analyte, scale: &Scale, site: &Site) -> Answer {
    if has_no_method(analyte) && scale.method == Method::Unstated {
        return Ok(Ok(Vec::new()));
    }
    let name = analyte.name();
    if analyte != Analyte::Ph {
        return Ok(Err(format!("the report does not say by which method {name} was measured")));
    }
    let found = region(site.region.as_deref())?;
    Ok(match found.and_then(|found| found.ph.map(|ph| (found, ph))) {
        Some((found, PhHabit::Water)) => Ok(vec![format!(
            "the report names no pH method; laboratories of {} report water pH (unverified)",
            found.id
        )]),
        Some((found, PhHabit::Salt)) => {
            Err(format!("the report names no pH method, and laboratories of {} report a salt pH", found.id))
        }
        None => {
            Err("the report names no pH method, and the region does not make sure that it is water pH"
                .to_owned())
        }
    })
}

/// Whether the amount of soil the number refers to matches, and the guide's unit is an amount (rules 6, 8).
pub(super) fn basis(reading: &Measured, scale: &Scale) -> Answer {
    if scale.unit == PrintedUnit::Index {
        return Ok(Err(
            "the guide's scale is an index of its own, which no concentration leads to".to_owned()
        ));
    }
    let by_amount = matches!(reading.analyte.unit(), Unit::MgPerKg | Unit::CentimolePerKg);
    let measured = reading.basis.or(by_amount.then_some(Basis::Mass));
    Ok(match (measured, scale.basis()) {
        (Some(Basis::Volume), Some(Basis::Mass)) => {
            Err("the result is per volume of soil and the guide per mass".to_owned())
        }
        (Some(Basis::Mass), Some(Basis::Volume)) => {
            Err("the result is per mass of soil and the guide per volume".to_owned())
        }
        _ if scale.unit == PrintedUnit::LbPerAcre => {
            Ok(vec!["the guide prints lb/acre; halved to mg/kg as for a slice 6 to 7 inches deep".to_owned()])
        }
        _ => Ok(Vec::new()),
    })
}

/// Whether the sample is of the layer the guide speaks of (rules 50, 51): another thickness is a caution, a layer below
/// it is none of its business.
pub(super) fn depth(reading: &Measured, guide: &Guide, scale: &Scale) -> Answer {
    let Some((spoken, (top, bottom))) = depth_of(&guide.id, &scale.crop)?.zip(reading.depth_cm) else {
        return Ok(Ok(Vec::new()));
    };
    if f64::from(top) >= spoken.bottom_cm {
        return Ok(Err(format!(
            "the sample is from {top} to {bottom} cm and the guide speaks of the upper {} cm ({})",
            spoken.bottom_cm, spoken.source
        )));
    }
    Ok(Ok(if spoken.fits((top, bottom)) {
        Vec::new()
    } else {
        vec![format!(
            "sampled {top} to {bottom} cm deep and the guide speaks of {} cm ({}): a shallow core reads high, a deep one \
             low (noble-depth)",
            spoken.bottom_cm, spoken.source
        )]
    }))
}

/// Whether the soil spoils the test (rules 12 to 14, 28).
pub(super) fn soil(reading: &Measured, site: &Site, context: &Context) -> Answer {
    let lime = calcareous(site, context)? == Some(true);
    match (reading.analyte, reading.method) {
        (Analyte::Phosphorus, Method::BrayP1 | Method::BrayP2) => bray(site, context),
        (Analyte::Phosphorus, Method::Olsen) => olsen(site, context),
        (Analyte::Phosphorus, Method::Mehlich3 | Method::Mehlich3Colorimetric) if lime => Ok(Ok(vec![
            "Mehlich-3 P on calcareous soil does not run level with Olsen (idaho-p-thesis)".to_owned(),
        ])),
        (analyte, method) if lime && inflated_by_lime(analyte, method) => Ok(Err(format!(
            "{} is not interpretable on calcareous soil: the extract dissolves lime (calc-aa1998)",
            analyte.name()
        ))),
        _ => Ok(Ok(Vec::new())),
    }
}

fn inflated_by_lime(analyte: Analyte, method: Method) -> bool {
    match analyte {
        Analyte::Calcium => matches!(
            method,
            Method::AmmoniumAcetate
                | Method::Mehlich1
                | Method::Mehlich3
                | Method::Morgan
                | Method::ModifiedMorgan
                | Method::Unstated
        ),
        Analyte::Cec => method != Method::Unstated,
        Analyte::SatCa | Analyte::SatK | Analyte::SatMg => true,
        _ => false,
    }
}

fn bray(site: &Site, context: &Context) -> Answer {
    let up_to = limit(Limit::BrayUpToPh)?.value;
    if site.calcareous == Some(true) {
        return Ok(Err("Bray P is unreliable and reads low on soil with free lime (umn-p-tests): \
                       ask for Olsen"
            .to_owned()));
    }
    Ok(match context.ph_above(up_to) {
        Some(true) => Err(format!(
            "Bray P is unreliable and reads low above pH {up_to}, and the pH is {} (umn-p-tests): ask for Olsen",
            context.any_ph().unwrap_or(up_to)
        )),
        Some(false) => Ok(Vec::new()),
        None => Ok(vec![format!("no water pH is known; Bray P does not hold above pH {up_to}")]),
    })
}

fn olsen(site: &Site, context: &Context) -> Answer {
    let from = limit(Limit::OlsenFromPh)?.value;
    let used_at_any_ph = region(site.region.as_deref())?.is_some_and(|region| region.olsen_at_any_ph);
    Ok(match context.water_ph {
        Some(ph) if ph < from && !used_at_any_ph => Err(format!(
            "Olsen P is not used at pH {ph}, below {from} (umn-p-tests): ask for Bray or Mehlich-3"
        )),
        _ => Ok(Vec::new()),
    })
}

/// Whether the condition of the scale holds.
pub(super) fn condition_of(scale: &Scale, site: &Site, context: &Context) -> Result<Holds, TableError> {
    let Some(id) = &scale.condition else { return Ok(Holds::Yes) };
    let lime = calcareous(site, context)?;
    Ok(condition(id)?.map_or(Holds::No, |asked| asked.holds(site, context, lime)))
}
