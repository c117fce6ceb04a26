//! What the notes of a document say.

use super::super::label::Liquid;
use super::method::adapt;
use super::range::Range;
use super::titled::Titled;
use crate::soil::{Analyte, Depth, Method};
use std::collections::HashMap;

/// What the notes of a document (or page) say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Notes {
    /// Method by analyte; `None` where two notes disagree.
    pub methods: HashMap<Analyte, Option<Method>>,
    /// All methods that they give to a measurement.
    pub given: HashMap<Analyte, Vec<Method>>,
    /// Methods that clauses of nothing else give to a measurement by its name.
    pub by_name: HashMap<Analyte, Vec<Method>>,
    /// Methods that notes give to a measurement as one of a group, `micronutrients`.
    pub by_group: HashMap<Analyte, Vec<Method>>,
    /// A method named for all extracted nutrients ("Extractant: Mehlich 3").
    pub extractant: Option<Method>,
    /// Extracts of micronutrients alone that stand for all of these, `DTPA extraction`; none for one outside the contract.
    pub alone: Vec<Option<Method>>,
    /// Unit by analyte.
    pub units: HashMap<Analyte, (&'static str, String)>,
    /// What another clause than that of all gives a unit to, in words that are perhaps not understood.
    pub unit_elsewhere: Vec<Analyte>,
    /// "All results in ppm unless noted".
    pub common_unit: Option<(&'static str, String)>,
    /// The report states that pounds per acre are parts per million times this.
    pub pounds_factor: Option<f64>,
    /// The same for layers, where the report states it layer by layer.
    pub layer_factors: Vec<(Depth, f64)>,
    /// The same for each inch of a layer.
    pub inch_factor: Option<f64>,
    /// The report states how pounds per acre and parts per million belong together in words that are not understood, or
    /// in two ways.
    pub pounds_unread: bool,
    /// The report states that kilograms per hectare are parts per million times this.
    pub hectare_factor: Option<f64>,
    /// The same in two ways, so that none of them is taken.
    pub hectare_unread: bool,
    /// "Results per litre of soil".
    pub per_volume: bool,
    /// "Olsen P: reported per volume of soil": what is said to be so, and nothing of the rest.
    pub by_volume: Vec<Analyte>,
    /// They tell how a mass is reckoned from an amount in a volume: `divide by the volume weight`.
    pub volume_to_mass: bool,
    /// Rating letters that a legend explains.
    pub letters: Vec<String>,
    /// Footnotes by their mark.
    pub marked: HashMap<String, String>,
    /// What they say of all is not said of what is marked: `by Mehlich 3 unless marked`.
    pub but_marked: bool,
    /// "A zero means that the test was not ordered."
    pub zero_is_blank: bool,
    /// Extracts of a list that holds a word which is not known.
    pub half_told: Vec<Method>,
    /// First and last of a range of results, and the method said of all.
    pub ranges: Vec<Range>,
    /// What was taken out with something that is not known.
    pub strange: Vec<Analyte>,
    /// What was taken out with a method that is known and has no name in the contract for it.
    pub outside: Vec<Analyte>,
    /// Phosphorus is counted by its colour, in whatever extract.
    pub by_colour: bool,
    /// Methods named anywhere in them, for whatever.
    pub named: Vec<Method>,
    /// What they speak of by name.
    pub spoken_of: Vec<Analyte>,
    /// What the titles of the report say.
    pub titled: Titled,
    /// Extracts that the pages name anywhere, and that were given to nothing.
    pub lost: Vec<Method>,
}

impl Notes {
    /// Kilograms per hectare of one part per million, where the report states it in one way.
    pub fn of_hectares(&self) -> Option<f64> {
        self.hectare_factor.filter(|_| !self.hectare_unread)
    }

    /// `Micronutrients: DTPA. Boron: hot water`: what is plainly said of one by its name goes before what is said of its group.
    pub(super) fn names_before_groups(&mut self) {
        for (analyte, groups) in &self.by_group {
            let Some([own]) = self.by_name.get(analyte).map(Vec::as_slice) else { continue };
            if let Some(kept) = self.methods.get_mut(analyte).filter(|kept| kept.is_none())
                && let [group] = groups.as_slice()
                && group != own
            {
                *kept = Some(*own);
            }
        }
    }

    /// `DTPA extraction; boron by hot water`: the extract is that of the micronutrients of which nothing else is said. Beside
    /// another that may be theirs nobody knows.
    pub(super) fn alone_for_micronutrients(&mut self) {
        let [Some(method)] = self.alone.as_slice() else { return };
        let own = [Analyte::Zinc, Analyte::Iron, Analyte::Manganese, Analyte::Copper];
        for analyte in own.into_iter().filter(|a| method.measures(*a)) {
            if self.methods.contains_key(&analyte) {
                continue;
            }
            match self.extractant.is_some_and(|other| other.measures(analyte)) {
                true => self.strange.push(analyte),
                false => {
                    self.methods.insert(analyte, Some(*method));
                }
            }
        }
    }

    /// The one method that they give to a measurement and that stirs the soil into this liquid.
    pub fn by_liquid(&self, analyte: Analyte, liquid: Option<Liquid>) -> Option<Method> {
        let liquid = liquid?;
        let mut own = self.given.get(&analyte)?.iter().copied().filter(|m| match liquid {
            Liquid::Water => {
                matches!(m, Method::Water1to1 | Method::Water1to2 | Method::Water1to2_5 | Method::Water1to5)
            }
            Liquid::Salt => matches!(m, Method::Cacl2 | Method::Kcl),
        });
        let first = own.next()?;
        own.all(|m| m == first).then_some(first)
    }

    /// An extract that is named and given to nothing, which may be this analyte's.
    pub fn extract_of_nothing(&self, analyte: Analyte) -> Option<Method> {
        let extract = |m: &Method| m.measures(Analyte::Phosphorus) && m.measures(Analyte::Potassium);
        let given = |m: &Method| {
            self.extractant == Some(*m) || self.methods.values().any(|v| v.is_none() || *v == Some(*m))
        };
        let measures = |m: &&Method| m.measures(analyte);
        let noted = self.named.iter().filter(|m| extract(m) && !given(m)).find(measures);
        let noted = noted.filter(|_| self.marked.is_empty());
        noted
            .or_else(|| self.lost.iter().chain(&self.half_told).find(measures))
            .filter(|_| self.extractant.is_none())
            .copied()
    }

    /// True where they say that this is an amount in a volume of soil.
    pub fn is_by_volume(&self, analyte: Analyte) -> bool {
        self.per_volume || self.by_volume.contains(&analyte)
    }

    /// True where they name a method that could be this analyte's, or speak of it at all. In a picture, where marks
    /// and half words get lost, a method that was not found may then stand there all the same.
    pub fn may_hide_a_method(&self, analyte: Analyte) -> bool {
        let has_methods = Method::ALL.iter().any(|m| *m != Method::Unstated && m.measures(analyte));
        has_methods && self.spoken_of.contains(&analyte)
            || self.named.iter().any(|method| adapt(*method, analyte).is_some())
    }
}
