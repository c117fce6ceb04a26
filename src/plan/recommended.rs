//! What the newest report of a zone recommends: taken where it is certain, else asked about.

use super::nitrogen::{LABORATORY, Target, grass};
use super::settings::MOST_N_LB_PER_1000_FT2;
use crate::guide::condition::word;
use crate::guide::use_of;
use crate::soil::convert::lb_per_1000_ft2_to_lb_per_acre;
use crate::soil::table::TableError;
use crate::soil::value::rounded;
use crate::soil::{RateUnit, Recommendation, Site};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Nitrogen that the newest report of a zone recommends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recommended {
    /// Zone.
    pub zone: String,
    /// The laboratory, as printed.
    pub lab: Option<String>,
    /// Its report number.
    pub report: Option<String>,
    /// Day of the report.
    pub on: Option<Date>,
    /// As printed; several where the report offers a choice or nothing is certain.
    pub nitrogen: Vec<Recommendation>,
}

impl Recommended {
    /// `, report TS2024-459, 2024-05-06`.
    fn place(&self) -> String {
        let report = self.report.as_ref().map(|number| format!(", report {number}")).unwrap_or_default();
        let on = self.on.map(|day| format!(", {day}")).unwrap_or_default();
        format!("{report}{on}")
    }

    /// What the laboratory says, a sentence each.
    pub fn sentences(&self) -> Vec<String> {
        if let Some((one, lb)) = self.certain() {
            return vec![self.recommends(one, lb)];
        }
        if self.nitrogen.is_empty() { Vec::new() } else { vec![format!("{}.", self.printed())] }
    }

    /// The one amount that is certain, lb/1000 ft2.
    fn certain(&self) -> Option<(&Recommendation, f64)> {
        let [one] = self.nitrogen.as_slice() else { return None };
        Some((one, one.lb_per_1000_ft2()?))
    }

    fn recommends(&self, one: &Recommendation, lb: f64) -> String {
        let amount = one.amount.zip(one.unit).map_or_else(String::new, |(amount, unit)| {
            let other = match unit {
                RateUnit::LbPer1000Ft2 => {
                    format!("{:.0} lb/acre", lb_per_1000_ft2_to_lb_per_acre(lb))
                }
                _ => format!("{lb:.2} lb/1000 ft2"),
            };
            format!("{} {} ({other})", rounded(amount), unit.id())
        });
        let crop = if one.crop.is_empty() { String::new() } else { format!(" for {}", one.crop) };
        format!("The laboratory recommends {amount} of nitrogen{crop}{}.", self.place())
    }

    /// `The laboratory printed 2 to 3 lb/1000 sq ft of nitrogen, report A-12, 2024-05-06`.
    fn printed(&self) -> String {
        let all: Vec<String> = self.nitrogen.iter().map(Recommendation::said).collect();
        format!("The laboratory printed {} as its nitrogen{}", all.join("; "), self.place())
    }

    /// The target for a site, or the question that must be settled first.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub(super) fn target(&self, site: &Site) -> Result<Result<Target, String>, TableError> {
        let ask = |why: &str| {
            Err(format!("{}; {why} Say which holds for the season with lab_nitrogen.", self.printed()))
        };
        let Some((one, lb)) = self.certain() else {
            let doubt = self.nitrogen.iter().flat_map(|n| &n.doubts).map(|d| d.sentence.as_str()).next();
            return Ok(ask(&format!("it is not reckoned with: {}", doubt.unwrap_or("several are printed."))));
        };
        if !(0.0..=MOST_N_LB_PER_1000_FT2).contains(&lb) {
            return Ok(ask("that is more than a season can take."));
        }
        if !fits(site, &one.crop)? {
            return Ok(ask("what it names is not what grows here."));
        }
        Ok(Ok(Target {
            lb_per_1000_ft2: lb,
            reason: self.recommends(one, lb),
            source: LABORATORY.to_owned(),
        }))
    }
}

/// Words by which a laboratory names turf.
const TURF: [&str; 8] = ["lawn", "turf", "grass", "fairway", "green", "tee", "sport", "pitch"];

/// True where what a recommendation is for may grow here; where it names nothing, it is for what grows.
fn fits(site: &Site, crop: &str) -> Result<bool, TableError> {
    let named = word(crop);
    if named.is_empty() {
        return Ok(true);
    }
    let turf = use_of(site)?.is_some_and(|found| found.is_turf());
    let own = site.species.as_deref().map(grass).transpose()?.flatten().map(|(species, _)| species);
    // `Bermuda turf` names a grass; `home lawn` names turf; anything else is another crop.
    let words: Vec<&str> = named.split(|c: char| !c.is_alphanumeric()).collect();
    let mut grasses = Vec::new();
    for from in 0..words.len() {
        for until in from + 1..=words.len() {
            let part = words.get(from..until).unwrap_or_default().join("-");
            grasses.extend(grass(&part)?.map(|(species, _)| species));
        }
    }
    if turf {
        return Ok(match (own, grasses.is_empty()) {
            (_, true) => TURF.iter().any(|turf| named.contains(turf)),
            (Some(own), false) => grasses.iter().all(|g| *g == own),
            (None, false) => true,
        });
    }
    let same = |own: &Option<String>| {
        own.as_deref().map(word).is_some_and(|own| !own.is_empty() && named.contains(&own))
    };
    Ok(same(&site.use_) || same(&site.species))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Place;
    use crate::soil::{Doubt, Printed};
    use jiff::civil::date;

    pub(crate) fn recommended(value: &str, unit: RateUnit, crop: &str) -> Recommended {
        Recommended {
            zone: "whole".to_owned(),
            lab: Some("Harrowby Soil House".to_owned()),
            report: Some("HS2024-459".to_owned()),
            on: Some(date(2024, 5, 6)),
            nitrogen: vec![Recommendation {
                crop: crop.to_owned(),
                printed: Printed { value: value.to_owned(), unit: unit.id().to_owned() },
                amount: value.parse().ok(),
                unit: Some(unit),
                place: Place::Cell { sheet: 1, row: 1, column: 1 },
                doubts: Vec::new(),
            }],
        }
    }

    fn site(use_: &str, species: Option<&str>) -> Site {
        Site { use_: Some(use_.to_owned()), species: species.map(str::to_owned), ..Site::default() }
    }

    #[test]
    fn a_certain_amount_is_the_target_and_says_where_it_stands() {
        let found = recommended("130", RateUnit::LbPerAcre, "").target(&site("lawn", None)).unwrap().unwrap();
        assert!((found.lb_per_1000_ft2 - 2.98439).abs() < 1e-5);
        assert_eq!(
            found.reason,
            "The laboratory recommends 130 lb/acre (2.98 lb/1000 ft2) of nitrogen, report HS2024-459, 2024-05-06."
        );
        assert_eq!(found.source, LABORATORY);
        let other = recommended("3", RateUnit::LbPer1000Ft2, "Lawn").sentences();
        assert_eq!(
            other,
            [
                "The laboratory recommends 3 lb/1000 ft2 (131 lb/acre) of nitrogen for Lawn, report HS2024-459, 2024-05-06."
            ]
        );
    }

    #[test]
    fn what_is_in_doubt_too_much_or_for_another_crop_is_asked_about() {
        let lawn = site("lawn", Some("tall fescue"));
        let mut unsure = recommended("2 to 3", RateUnit::LbPer1000Ft2, "");
        unsure.nitrogen[0].doubts.push(Doubt::new("amount-unsure", "`2 to 3` is not one number."));
        let asked = unsure.target(&lawn).unwrap().unwrap_err();
        assert!(asked.contains("printed 2 to 3 lb/1000 ft2") && asked.contains("lab_nitrogen"), "{asked}");
        assert!(asked.contains("not one number"), "{asked}");
        let mut two = recommended("130", RateUnit::LbPerAcre, "");
        two.nitrogen.push(two.nitrogen[0].clone());
        for wrong in [
            two,
            recommended("1300", RateUnit::LbPerAcre, ""),
            recommended("130", RateUnit::LbPerAcre, "Corn, 150 bu"),
            recommended("120", RateUnit::LbPerAcre, "Bermuda turf"),
        ] {
            assert!(wrong.target(&lawn).unwrap().is_err(), "{wrong:?}");
        }
        for right in ["Fescue lawn", "Tall fescue", "Home lawn", "Turf-type tall fescue"] {
            assert!(recommended("120", RateUnit::LbPerAcre, right).target(&lawn).unwrap().is_ok(), "{right}");
        }
        let corn = recommended("130", RateUnit::LbPerAcre, "Corn, 150 bu");
        assert!(corn.target(&site("corn", None)).unwrap().is_ok());
        assert!(corn.target(&site("wheat", None)).unwrap().is_err());
    }
}
