//! The user's own products: what a bag or a drum holds, from a small TOML or CSV file.

use super::fertiliser::{FL_OZ_PER_GAL, kg_per_l_to_lb_per_gal};
use super::nutrients::{Nutrient, Nutrients};
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// Spread or sprayed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Form {
    /// Granules or powder, measured by weight.
    #[default]
    Solid,
    /// Measured by volume.
    Liquid,
}

/// One product.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Product {
    /// Its name, as the user calls it.
    pub name: String,
    /// Spread or sprayed.
    pub form: Form,
    /// What it holds, percent by weight.
    pub percent: Nutrients,
    /// Density of a liquid, lb/gal.
    pub density_lb_per_gal: Option<f64>,
    /// Share of its nitrogen that is released slowly, 0 to 1.
    pub slow_share: f64,
    /// The most the label allows at once, lb of product per 1000 ft2.
    pub max_single_lb_per_1000_ft2: Option<f64>,
    /// What a package holds: lb of a solid, gal of a liquid.
    pub package: Option<f64>,
    /// Price of a package.
    pub price: Option<f64>,
}

/// What is wrong with a products file; one sentence for a person.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}:{line}: {what}")]
pub struct ProductError {
    /// Which file.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// What is wrong there, and what to do.
    pub what: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    product: Vec<toml::Spanned<Written>>,
}

/// A product as it is written down.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    name: String,
    analysis: Option<String>,
    form: Option<Form>,
    ca: Option<f64>,
    mg: Option<f64>,
    s: Option<f64>,
    fe: Option<f64>,
    mn: Option<f64>,
    zn: Option<f64>,
    cu: Option<f64>,
    b: Option<f64>,
    lime_cce: Option<f64>,
    gypsum: Option<f64>,
    density_lb_per_gal: Option<f64>,
    density_kg_per_l: Option<f64>,
    slow_share: Option<f64>,
    max_single_lb_per_1000_ft2: Option<f64>,
    max_single_fl_oz_per_1000_ft2: Option<f64>,
    package_lb: Option<f64>,
    package_gal: Option<f64>,
    price: Option<f64>,
}

/// The products of a TOML file: `[[product]]` tables.
///
/// # Errors
/// [`ProductError`] with file and line.
pub fn from_toml(text: &str, file: &str) -> Result<Vec<Product>, ProductError> {
    let wrong = |at: Option<Range<usize>>, what: String| {
        let before = at.and_then(|span| text.get(..span.start)).unwrap_or_default();
        let line = before.matches('\n').count() + 1;
        ProductError { file: file.to_owned(), line, what: on_one_line(&what) }
    };
    let found: File = toml::from_str(text)
        .map_err(|error| wrong(error.span(), error.message().lines().collect::<Vec<_>>().join(" ")))?;
    let mut products: Vec<Product> = Vec::new();
    for spanned in found.product {
        let span = spanned.span();
        let product = checked(spanned.into_inner(), &products).map_err(|what| wrong(Some(span), what))?;
        products.push(product);
    }
    Ok(products)
}

/// The products of a CSV file with the same names as columns.
///
/// # Errors
/// [`ProductError`] with file and line.
pub fn from_csv(text: &str, file: &str) -> Result<Vec<Product>, ProductError> {
    let wrong = |line: u64, what: String| ProductError {
        file: file.to_owned(),
        line: usize::try_from(line).unwrap_or(usize::MAX),
        what: on_one_line(&what),
    };
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let headers = reader.headers().map_err(|error| wrong(1, error.to_string()))?.clone();
    let mut products: Vec<Product> = Vec::new();
    for record in reader.records() {
        let record = record
            .map_err(|error| wrong(error.position().map_or(1, csv::Position::line), error.to_string()))?;
        let line = record.position().map_or(1, csv::Position::line);
        let written: Written =
            record.deserialize(Some(&headers)).map_err(|error| wrong(line, plain(&error)))?;
        let product = checked(written, &products).map_err(|what| wrong(line, what))?;
        products.push(product);
    }
    Ok(products)
}

/// A name in quotes may hold a line end, which would cut the sentence that quotes it.
fn on_one_line(what: &str) -> String {
    what.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// What a CSV error says without its own word on the place.
fn plain(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::Deserialize { err, .. } => err.to_string(),
        _ => error.to_string(),
    }
}

/// The product, or what is wrong with it in a sentence.
fn checked(written: Written, others: &[Product]) -> Result<Product, String> {
    let name = written.name.trim().to_owned();
    if name.is_empty() {
        return Err("a product needs a name".to_owned());
    }
    if others.iter().any(|other| other.name.eq_ignore_ascii_case(&name)) {
        return Err(format!("the product {name:?} stands twice"));
    }
    let grade = match &written.analysis {
        None => Nutrients::default(),
        Some(text) => Nutrients::from_grade(text).ok_or_else(|| {
            format!("{text:?} is no analysis: write N-P2O5-K2O as on the label, for example \"16-4-8\"")
        })?,
    };
    let more = [
        (Nutrient::Ca, written.ca),
        (Nutrient::Mg, written.mg),
        (Nutrient::S, written.s),
        (Nutrient::Fe, written.fe),
        (Nutrient::Mn, written.mn),
        (Nutrient::Zn, written.zn),
        (Nutrient::Cu, written.cu),
        (Nutrient::B, written.b),
        (Nutrient::LimeCce, written.lime_cce),
        (Nutrient::Gypsum, written.gypsum),
    ];
    let mut percent = grade;
    for (nutrient, share) in more.into_iter().filter_map(|(nutrient, share)| Some((nutrient, share?))) {
        // Magnesian lime neutralises more than its own weight of calcium carbonate.
        let most = if nutrient == Nutrient::LimeCce { 180.0 } else { 100.0 };
        if !(0.0..=most).contains(&share) {
            return Err(format!("{nutrient} is {share} %: it must lie between 0 and {most}"));
        }
        percent = percent.with(nutrient, share);
    }
    if percent.is_empty() {
        return Err(format!("the product {name:?} holds nothing: give an analysis, lime_cce or gypsum"));
    }
    let form = written.form.unwrap_or_default();
    let amounts = [
        ("density", written.density_lb_per_gal.or(written.density_kg_per_l)),
        ("max_single", written.max_single_lb_per_1000_ft2.or(written.max_single_fl_oz_per_1000_ft2)),
        ("package", written.package_lb.or(written.package_gal)),
    ];
    if let Some((what, _)) = amounts.iter().find(|(_, v)| v.is_some_and(|v| !(v.is_finite() && v > 0.0))) {
        return Err(format!("{what} must be above 0"));
    }
    if written.price.is_some_and(|price| !(price.is_finite() && price >= 0.0)) {
        return Err("price must not be negative".to_owned());
    }
    let slow_share = written.slow_share.unwrap_or(0.0);
    if !(0.0..=1.0).contains(&slow_share) {
        return Err(format!("slow_share is {slow_share}: write the share of the nitrogen, 0 to 1"));
    }
    let density = written.density_lb_per_gal.or(written.density_kg_per_l.map(kg_per_l_to_lb_per_gal));
    if form == Form::Liquid && density.is_none() {
        return Err(format!("the liquid {name:?} needs density_lb_per_gal or density_kg_per_l"));
    }
    let by_volume = written
        .max_single_fl_oz_per_1000_ft2
        .map(|fl_oz| {
            density.map(|density| fl_oz / FL_OZ_PER_GAL * density).ok_or("a limit in fl oz needs a density")
        })
        .transpose()?;
    let package = match form {
        Form::Solid if written.package_gal.is_some() => {
            return Err("a solid comes in package_lb".to_owned());
        }
        Form::Liquid if written.package_lb.is_some() => {
            return Err("a liquid comes in package_gal".to_owned());
        }
        Form::Solid => written.package_lb,
        Form::Liquid => written.package_gal,
    };
    Ok(Product {
        name,
        form,
        percent,
        density_lb_per_gal: density,
        slow_share,
        max_single_lb_per_1000_ft2: written.max_single_lb_per_1000_ft2.or(by_volume),
        package,
        price: written.price,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO: &str = "[[product]]\nname = \"Spring\"\nanalysis = \"16-4-8\"\nslow_share = 0.5\npackage_lb = 50\n\n\
                       [[product]]\nname = \"Lake\"\nform = \"liquid\"\nanalysis = \"28-0-0\"\ndensity_lb_per_gal = 10.6\n";

    #[test]
    fn a_products_file_is_read_in_both_ways_alike() {
        let toml = from_toml(TWO, "p.toml").unwrap();
        let csv = from_csv(
            "name,form,analysis,slow_share,package_lb,density_lb_per_gal\nSpring,,16-4-8,0.5,50,\nLake,liquid,28-0-0,,,10.6\n",
            "p.csv",
        )
        .unwrap();
        assert_eq!(toml, csv);
        assert_eq!(toml.first().map(|product| product.percent.get(Nutrient::K2o)), Some(8.0));
    }

    #[test]
    fn an_error_names_the_file_and_the_line() {
        let cut = from_csv("\";\n5\"\n1", "products.csv").unwrap_err().to_string();
        assert!(cut.starts_with("products.csv:3: unknown field `; 5`"), "{cut}");
        for (add, line, word) in [
            ("[[product]]\nname = \"A\"\nanalysis = \"16-4\"\n", 12, "no analysis"),
            ("[[product]]\nname = \"Spring\"\nanalysis = \"1-1-1\"\n", 12, "twice"),
            ("[[product]]\nname = \"A\"\ngrade = \"1-1-1\"\n", 14, "grade"),
            ("[[product]]\nname = \"A\"\nform = \"liquid\"\nanalysis = \"1-1-1\"\n", 12, "density"),
            ("[[product]]\nname = \"A\"\n", 12, "holds nothing"),
        ] {
            let error = from_toml(&format!("{TWO}{add}"), "p.toml").unwrap_err();
            assert_eq!(error.line, line, "{error}");
            assert!(error.to_string().starts_with("p.toml:") && error.what.contains(word), "{error}");
        }
        let error = from_csv("name,analysis\nA,1-1-1\nB,x\n", "p.csv").unwrap_err();
        assert_eq!((error.line, error.what.contains("no analysis")), (3, true));
    }
}
