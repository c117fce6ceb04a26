//! Which of the user's products supplies a nutrient and nothing that must not go down.

use super::nutrients::Nutrient;
use super::product::Product;

/// The products that may go down on a site, in its own order; all of them where the site names none.
///
/// # Errors
/// The name that is no product.
pub fn on_site(products: &[Product], named: &[String]) -> Result<Vec<Product>, String> {
    if named.is_empty() {
        return Ok(products.to_vec());
    }
    let find = |name: &String| {
        products.iter().find(|product| product.name.eq_ignore_ascii_case(name.trim())).cloned()
    };
    named.iter().map(|name| find(name).ok_or_else(|| name.clone())).collect()
}

/// The product for a nutrient: without any that are forbidden, then with the least of what nobody needs, then the first
/// in the file. None where no product fits.
pub fn choose<'a>(
    products: &'a [Product],
    nutrient: Nutrient,
    forbidden: &[Nutrient],
    also_needed: &[Nutrient],
) -> Option<&'a Product> {
    let amendment = matches!(nutrient, Nutrient::LimeCce | Nutrient::Gypsum);
    products
        .iter()
        .filter(|product| product.percent.get(nutrient) > 0.0)
        .filter(|product| forbidden.iter().all(|not| product.percent.get(*not) == 0.0))
        // Nothing but nitrogen is fed along with an amendment, and only nitrogen brings others with it.
        .filter(|product| nutrient == Nutrient::N || product.percent.get(Nutrient::N) == 0.0)
        .filter(|product| amendment || !is_amendment(product))
        .min_by(|a, b| surplus(a, nutrient, also_needed).total_cmp(&surplus(b, nutrient, also_needed)))
}

fn is_amendment(product: &Product) -> bool {
    product.percent.get(Nutrient::LimeCce) > 0.0 || product.percent.get(Nutrient::Gypsum) > 0.0
}

/// P2O5 and K2O that come along unneeded, for a unit of the nutrient.
fn surplus(product: &Product, nutrient: Nutrient, also_needed: &[Nutrient]) -> f64 {
    let along: f64 = [Nutrient::P2o5, Nutrient::K2o]
        .into_iter()
        .filter(|other| *other != nutrient && !also_needed.contains(other))
        .map(|other| product.percent.get(other))
        .sum();
    along / product.percent.get(nutrient)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::product::from_toml;

    const SHELF: &str = r#"
[[product]]
name = "Starter"
analysis = "10-18-10"
[[product]]
name = "Lawn"
analysis = "24-0-6"
[[product]]
name = "Urea"
analysis = "46-0-0"
[[product]]
name = "Potash"
analysis = "0-0-50"
[[product]]
name = "Lime"
lime_cce = 92
[[product]]
name = "Magnesian lime"
lime_cce = 100
mg = 11
"#;

    #[test]
    fn what_is_forbidden_is_in_no_product_and_needs_choose_the_rest() {
        let shelf = from_toml(SHELF, "p.toml").unwrap();
        let name = |nutrient, forbidden: &[Nutrient], needed: &[Nutrient]| {
            choose(&shelf, nutrient, forbidden, needed).map(|product| product.name.as_str())
        };
        use Nutrient::*;
        assert_eq!(name(N, &[P2o5], &[K2o]), Some("Lawn"));
        assert_eq!(name(N, &[P2o5, K2o], &[]), Some("Urea"));
        assert_eq!(name(N, &[], &[]), Some("Urea"));
        assert_eq!(name(K2o, &[P2o5], &[]), Some("Potash"));
        assert_eq!(name(P2o5, &[], &[]), None);
        assert_eq!(name(LimeCce, &[Mg], &[]), Some("Lime"));
        assert_eq!(name(S, &[], &[]), None);
    }

    #[test]
    fn a_site_takes_its_own_products_in_its_own_order_and_an_unknown_name_is_told() {
        let shelf = from_toml(SHELF, "p.toml").unwrap();
        let names = |named: &[&str]| {
            let named: Vec<String> = named.iter().map(|name| (*name).to_owned()).collect();
            on_site(&shelf, &named).map(|all| all.into_iter().map(|product| product.name).collect::<Vec<_>>())
        };
        assert_eq!(names(&["potash", "Urea"]).unwrap(), ["Potash", "Urea"]);
        assert_eq!(names(&[]).unwrap().len(), shelf.len());
        assert_eq!(names(&["Urea", "Guano"]).unwrap_err(), "Guano");
    }
}
