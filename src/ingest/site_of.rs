//! Which site a sample belongs to: a name known to the history, else one made of client and sample name.

use crate::history::{self, History};
use crate::soil::Site;
use crate::soil::site::{WHOLE, made_id};

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
    let Some(id) = made_id(client, label) else { return Ok(None) };
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
