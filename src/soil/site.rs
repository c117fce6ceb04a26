//! Whose soil it is: client, site, zone, and how deep the sample went.

use serde::{Deserialize, Serialize};

/// The zone of a site that has only one.
pub const WHOLE: &str = "whole";

/// How deep a sample went, in centimetres from the surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Depth {
    /// Upper edge, cm.
    pub top_cm: f64,
    /// Lower edge, cm.
    pub bottom_cm: f64,
}

impl Depth {
    /// From inches.
    pub fn inches(top: f64, bottom: f64) -> Self {
        Self { top_cm: top * 2.54, bottom_cm: bottom * 2.54 }
    }

    /// Thickness of the layer in inches.
    pub fn thickness_inches(&self) -> f64 {
        (self.bottom_cm - self.top_cm) / 2.54
    }
}

/// What is known of a site beyond its reports. Conditions of a guide hold only where they are known here.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Site {
    /// The id used everywhere, made from client and sample name unless the roster gives one.
    pub id: String,
    /// The name a person reads.
    pub name: String,
    /// Whose site.
    pub client: Option<String>,
    /// What grows there, in the guides' words: `turf`, `lawn`, `corn` ...; none means the default of the settings.
    pub use_: Option<String>,
    /// Where it is, in the guides' words (`delaware`, `minnesota` ...), for guides bound to a region.
    pub region: Option<String>,
    /// Texture in the guides' words: `sand`, `loam`, `clay` ...
    pub texture: Option<String>,
    /// Free lime seen or reported.
    pub calcareous: Option<bool>,
    /// Area in square feet.
    pub area_ft2: Option<f64>,
    /// Grass species or crop, for salt tolerance and nitrogen.
    pub species: Option<String>,
    /// Guide ids chosen for this site, first is the one flags follow; empty means the default by use.
    pub guides: Vec<String>,
    /// A note of the keeper's.
    pub note: Option<String>,
}

/// A word for ids and comparisons: lower case letters and digits without accents, everything else one hyphen.
pub fn slug(text: &str) -> String {
    use unicode_normalization::UnicodeNormalization;
    let mut word = String::new();
    for c in text.nfkd().filter(|c| !unicode_normalization::char::is_combining_mark(*c)) {
        if c.is_alphanumeric() {
            word.extend(c.to_lowercase());
        } else if !word.is_empty() && !word.ends_with('-') && c != '\'' && c != '\u{2019}' {
            word.push('-');
        }
    }
    word.trim_end_matches('-').to_owned()
}

/// Letters of a site id made here.
const LONGEST: usize = 80;

/// The id made of client and sample name; none where one of them has no letter or digit.
pub fn made_id(client: Option<&str>, label: &str) -> Option<String> {
    let (client, label) = (slug(client?), slug(label));
    if client.is_empty() || label.is_empty() {
        return None;
    }
    let id: String = format!("{client}-{label}").chars().take(LONGEST).collect();
    Some(id.trim_end_matches('-').to_owned())
}

#[cfg(test)]
mod tests {
    use super::{made_id, slug};

    #[test]
    fn a_site_needs_a_client_and_a_sample_name() {
        assert_eq!(made_id(Some("R. & I. Tamsett"), "Front Lawn").as_deref(), Some("r-i-tamsett-front-lawn"));
        assert_eq!(made_id(None, "Front lawn"), None);
        assert_eq!(made_id(Some("A"), " - "), None);
    }

    #[test]
    fn a_slug_keeps_letters_and_digits_of_any_script() {
        assert_eq!(slug("R. & I. Tamsett"), "r-i-tamsett");
        assert_eq!(slug("  Fröhlich's Feld 3/b "), "frohlichs-feld-3-b");
        assert_eq!(slug("!?"), "");
    }
}
