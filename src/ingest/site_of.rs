//! Which site a sample belongs to: a code, a name known to the history, a site of this client and name, or a new one.
//! What is only nearly a known name is offered to a person, never taken: it waits where a person named the other site.
//! Where both are known from reports alone neither has the better right, whichever came first: each is a site, and the
//! two are kept as a pair that is perhaps one.

use super::names::{Names, Near};
use crate::history::{self, HeldReading, History};
use crate::reading::taught;
use crate::soil::alike::nearly;
use crate::soil::bag_code;
use crate::soil::site::{WHOLE, made_id, slug};
use crate::soil::{Doubt, Report, Site};

/// What was found out about a sample's site.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Whose {
    /// Site id and zone; none while a person has to say.
    pub site: Option<(String, String)>,
    /// Why a person has to say, or the name alone does not tell.
    pub doubt: Option<Doubt>,
    /// A rule taught for the form, whose key this is, named the site.
    pub rule: Option<i64>,
}

impl Whose {
    fn known(site: String, zone: String) -> Self {
        Self { site: Some((site, zone)), ..Self::default() }
    }

    fn held(doubt: Doubt) -> Self {
        Self { doubt: Some(doubt), ..Self::default() }
    }
}

/// What is printed of whose a sample is.
#[derive(Debug, Clone, Copy)]
pub struct Printed<'a> {
    /// The report it stands in.
    pub report: &'a Report,
    /// The sample's name.
    pub label: &'a str,
    /// Names of the other samples of the report: what stands beside it is another site.
    pub beside: &'a [String],
}

impl<'a> Printed<'a> {
    fn client(&self) -> Option<&'a str> {
        self.report.client.as_deref()
    }
}

/// The site of a sample. A new site is made on first sight of a client and name.
///
/// # Errors
/// What the store says.
pub fn site_of(
    history: &mut History,
    names: &mut Names,
    rules: &[(i64, taught::Rule)],
    printed: Printed<'_>,
) -> history::Result<Whose> {
    let (found, near) = found(history, names, rules, printed)?;
    if found.site.is_some() || found.doubt.is_some() {
        return Ok(found);
    }
    let (client, label) = (printed.client(), printed.label.trim());
    let Some(id) = made_id(client, label) else { return Ok(Whose::held(unknown())) };
    if history.site(&id)?.is_none() {
        history.upsert_site(&Site {
            id: id.clone(),
            name: label.to_owned(),
            client: client.map(|c| c.trim().to_owned()),
            ..Site::default()
        })?;
        names.add(client, label, &id);
        for other in near {
            history.mark_alike(&id, &other.site)?;
        }
    }
    Ok(Whose::known(id, WHOLE.to_owned()))
}

/// The same without making a site: neither site nor doubt means that the name is new.
///
/// # Errors
/// What the store says.
pub fn look_up(
    history: &History,
    names: &mut Names,
    rules: &[(i64, taught::Rule)],
    printed: Printed<'_>,
) -> history::Result<Whose> {
    Ok(found(history, names, rules, printed)?.0)
}

/// What was found, and where the name is new the sites that it is perhaps another spelling of.
fn found(
    history: &History,
    names: &mut Names,
    rules: &[(i64, taught::Rule)],
    printed: Printed<'_>,
) -> history::Result<(Whose, Vec<Near>)> {
    let Printed { report, label, .. } = printed;
    let client = printed.client();
    if let Some(found) = by_code(history, client, label)? {
        return Ok((found, Vec::new()));
    }
    if let Some(known) = history.site_for(client, label)? {
        return Ok((Whose::known(known.site, known.zone), Vec::new()));
    }
    if let Some((rule, site, zone)) = taught::site_of(rules, report, label)
        && let Some(site) = history.site(&site)?
    {
        return Ok((Whose { rule: Some(rule), ..Whose::known(site.id, zone) }, Vec::new()));
    }
    if let Some(id) = made_id(client, label)
        && let Some(site) = history.site(&id)?
    {
        return Ok((Whose::known(site.id, WHOLE.to_owned()), Vec::new()));
    }
    if slug(label).is_empty() {
        return Ok((Whose::held(unknown()), Vec::new()));
    }
    // Which sites have this name is asked anew whenever somebody looks: they may come later.
    if client.map(slug).unwrap_or_default().is_empty() {
        return Ok((Whose::held(unknown()), Vec::new()));
    }
    let offers = offers(history, names, printed)?;
    if offers.iter().any(|near| near.said) {
        return Ok((Whose::held(offered(client, label, &offers)), Vec::new()));
    }
    Ok((Whose::default(), offers))
}

/// Puts the sites that a sample without a client may belong to, as they are known now, to the doubt about its site.
///
/// # Errors
/// What the store says.
pub fn offer_now(history: &History, held: &mut [HeldReading]) -> history::Result<()> {
    let mut names = Names::default();
    for one in held {
        let label = &one.row.sample_label;
        for doubt in one.doubts.iter_mut().filter(|d| d.reason == UNKNOWN && d.alternatives.is_empty()) {
            let near = names.near(history, one.row.client.as_deref(), label)?;
            doubt.alternatives = near
                .iter()
                .map(|near| format!("{}: `{}`", place(&near.site, &near.zone), near.name))
                .collect();
        }
    }
    Ok(())
}

/// The doubt where a report names no client, or no sample.
const UNKNOWN: &str = "site-unknown";

fn unknown() -> Doubt {
    Doubt::new(UNKNOWN, "The report does not name both the client and the sample, so the site is not known.")
}

/// By a code that was issued for a bag, wherever it stands in the label, or by one of the roster's that is the label.
fn by_code(history: &History, client: Option<&str>, label: &str) -> history::Result<Option<Whose>> {
    let candidates = bag_code::candidates(label);
    let mut found: Vec<(String, String)> = Vec::new();
    for candidate in candidates.iter().filter(|c| bag_code::is_sound(c)) {
        if let Some(code) = history.code(candidate)?.filter(|code| code.bag) {
            found.push((code.site, code.zone));
        }
    }
    found.dedup();
    match found.as_slice() {
        [(site, zone)] => return Ok(Some(Whose::known(site.clone(), zone.clone()))),
        [] => {}
        several => {
            let mut doubt =
                Doubt::new("site-code", format!("`{label}` bears the codes of more than one bag."));
            doubt.alternatives = several.iter().map(|(site, zone)| place(site, zone)).collect();
            return Ok(Some(Whose::held(doubt)));
        }
    }
    let own = slug(label).to_uppercase();
    if let Some(code) = history.code(&own)?.filter(|code| !code.bag) {
        let site = history.site(&code.site)?;
        let theirs = site.and_then(|s| s.client);
        if theirs.as_deref().zip(client).is_none_or(|(a, b)| slug(a) == slug(b) || nearly(a, b)) {
            return Ok(Some(Whose::known(code.site, code.zone)));
        }
        let mut doubt = Doubt::new(
            "site-code",
            format!(
                "The roster gives the code `{label}` to {}, but the report names {} as the client.",
                theirs.unwrap_or_default(),
                client.unwrap_or_default()
            ),
        );
        doubt.alternatives = vec![place(&code.site, &code.zone)];
        return Ok(Some(Whose::held(doubt)));
    }
    if candidates.is_empty() {
        return Ok(None);
    }
    let codes = history.codes()?;
    let near: Vec<String> = codes
        .iter()
        .filter(|code| code.bag)
        .filter(|code| {
            let issued = code.code.replace('-', "");
            candidates.iter().any(|c| bag_code::nearly_code(c, &issued))
        })
        .map(|code| format!("{}, bag {}", place(&code.site, &code.zone), code.code))
        .collect();
    if near.is_empty() {
        return Ok(None);
    }
    let mut doubt = Doubt::new(
        "site-code",
        format!("`{label}` is nearly the code of a bag, but its check character does not fit."),
    );
    doubt.alternatives = near;
    Ok(Some(Whose::held(doubt)))
}

fn place(site: &str, zone: &str) -> String {
    if zone == WHOLE { format!("site {site}") } else { format!("site {site}, zone {zone}") }
}

/// Known sites whose client and name are nearly these, but for those that stand beside this one on its report.
fn offers(history: &History, names: &mut Names, printed: Printed<'_>) -> history::Result<Vec<Near>> {
    let client = printed.client();
    let mut offers = names.near(history, client, printed.label)?;
    for other in printed.beside {
        if offers.is_empty() {
            break;
        }
        let known = history.site_for(client, other)?.map(|known| known.site);
        let made = made_id(client, other);
        offers.retain(|offer| ![&known, &made].into_iter().flatten().any(|site| *site == offer.site));
    }
    Ok(offers)
}

fn offered(client: Option<&str>, label: &str, offers: &[Near]) -> Doubt {
    let whose = client.map_or_else(
        || "the report names no client".to_owned(),
        |client| format!("the client printed is `{client}`"),
    );
    let mut doubt = Doubt::new(
        "site-near",
        format!("`{label}` is perhaps a site that is known under another spelling; {whose}."),
    );
    doubt.alternatives =
        offers.iter().map(|near| format!("{}: `{}`", place(&near.site, &near.zone), near.name)).collect();
    if let Some(own) = made_id(client, label) {
        doubt.alternatives.push(format!("a site of its own: assign {own} --new `{}`", label.trim()));
    }
    doubt
}
