//! Which site a sample belongs to: a name known to the history, else one made of client and sample name.

use crate::history::{self, History};
use crate::soil::Site;
use crate::soil::site::{WHOLE, slug};

/// Letters of a site id made here.
const LONGEST: usize = 80;

/// Site id and zone of a sample; a new site is made on first sight. None where client or name is missing: a person
/// says then which site it is.
///
/// # Errors
/// What the store says.
pub fn site_of(
    history: &mut History,
    client: Option<&str>,
    label: &str,
) -> history::Result<Option<(String, String)>> {
    if let Some(known) = history.site_for(client, label)? {
        return Ok(Some((known.site, known.zone)));
    }
    let Some(id) = site_id(client, label) else { return Ok(None) };
    if history.site(&id)?.is_none() {
        let site = Site {
            id: id.clone(),
            name: label.trim().to_owned(),
            client: client.map(|c| c.trim().to_owned()),
            ..Site::default()
        };
        history.upsert_site(&site)?;
    }
    Ok(Some((id, WHOLE.to_owned())))
}

/// The id made of client and sample name; none where one of them has no letter or digit.
fn site_id(client: Option<&str>, label: &str) -> Option<String> {
    let (client, label) = (slug(client?), slug(label));
    if client.is_empty() || label.is_empty() {
        return None;
    }
    let id: String = format!("{client}-{label}").chars().take(LONGEST).collect();
    Some(id.trim_end_matches('-').to_owned())
}

#[cfg(test)]
mod tests {
    use super::site_id;

    #[test]
    fn a_site_needs_a_client_and_a_sample_name() {
        assert_eq!(site_id(Some("R. & I. Tamsett"), "Front Lawn").as_deref(), Some("r-i-tamsett-front-lawn"));
        assert_eq!(site_id(None, "Front lawn"), None);
        assert_eq!(site_id(Some("A"), " - "), None);
    }
}
