//! The names of sites that are known, made ready once to be compared with many new ones.

use crate::history::{self, History, NameOfSite};
use crate::soil::alike::Spelling;
use crate::soil::site::WHOLE;
use std::collections::{BTreeSet, HashMap};

/// A known name that a new one nearly is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Near {
    /// Site id.
    pub site: String,
    /// Zone.
    pub zone: String,
    /// The name it is known by.
    pub name: String,
    /// A person named the site: in the roster, while settling, or by its having no client, as no report's has.
    pub said: bool,
}

/// The known names. They are read when first asked for, and hold as long as nobody else writes: for one transaction.
#[derive(Debug, Default)]
pub struct Names(Option<Known>);

impl Names {
    /// Known names that are nearly this one, by site; where a client is not known on either side,
    /// those of this very name.
    ///
    /// # Errors
    /// What the store says.
    pub fn near(
        &mut self,
        history: &History,
        client: Option<&str>,
        label: &str,
    ) -> history::Result<Vec<Near>> {
        let known = match self.0.take() {
            Some(known) => known,
            None => Known::of(history)?,
        };
        let found = known.near(client, label);
        self.0 = Some(known);
        Ok(found)
    }

    /// Adds a site made just now.
    pub fn add(&mut self, client: Option<&str>, name: &str, site: &str) {
        if let Some(known) = &mut self.0 {
            let near =
                Near { site: site.to_owned(), zone: WHOLE.to_owned(), name: name.to_owned(), said: false };
            known.add(client, near);
        }
    }
}

#[derive(Debug, Default)]
struct Known {
    names: Vec<(Spelling, Near)>,
    /// Clients as printed, each with the places of its names.
    clients: Vec<(Spelling, Vec<usize>)>,
    client_at: HashMap<String, usize>,
    /// Places of all names by their letters alone.
    by_run: HashMap<String, Vec<usize>>,
    /// Places of names without a client.
    nobodys: BTreeSet<usize>,
}

impl Known {
    fn of(history: &History) -> history::Result<Self> {
        let mut known = Self::default();
        let sites = history.sites()?;
        let there: BTreeSet<&str> = sites.iter().map(|site| site.id.as_str()).collect();
        let mut said = BTreeSet::new();
        for name in history.names_of_sites()? {
            let NameOfSite { client, label, mut site, zone } = name.name;
            // The name of a site that was joined into another means that other.
            if !there.contains(site.as_str())
                && let Some(into) = history.site(&site)?
            {
                site = into.id;
            }
            said.insert(site.clone());
            known.add(client.as_deref(), Near { site, zone, name: label, said: true });
        }
        for site in sites {
            let said = site.client.is_none() || said.contains(&site.id);
            known.add(
                site.client.as_deref(),
                Near { site: site.id, zone: WHOLE.to_owned(), name: site.name, said },
            );
        }
        Ok(known)
    }

    fn add(&mut self, client: Option<&str>, near: Near) {
        let at = self.names.len();
        let spelling = Spelling::of(&near.name);
        self.by_run.entry(spelling.run().to_owned()).or_default().push(at);
        self.names.push((spelling, near));
        let Some(client) = client else {
            self.nobodys.insert(at);
            return;
        };
        let next = self.clients.len();
        let place = *self.client_at.entry(client.to_owned()).or_insert(next);
        if place == next {
            self.clients.push((Spelling::of(client), Vec::new()));
        }
        if let Some((_, names)) = self.clients.get_mut(place) {
            names.push(at);
        }
    }

    fn near(&self, client: Option<&str>, label: &str) -> Vec<Near> {
        let label = Spelling::of(label);
        let alike = |a: &Spelling, b: &Spelling| a.run() == b.run() || a.nearly(b);
        let same = self.by_run.get(label.run()).into_iter().flatten().copied();
        let found: Vec<usize> = match client {
            // A report without a client may be of any.
            None => same.collect(),
            Some(client) => {
                let mine = Spelling::of(client);
                let theirs = |spelling: &Spelling| mine.run().is_empty() || alike(&mine, spelling);
                let of_clients =
                    self.clients.iter().filter(|(spelling, _)| theirs(spelling)).flat_map(|(_, names)| names);
                let named = of_clients
                    .filter(|at| self.names.get(**at).is_some_and(|(name, _)| alike(&label, name)))
                    .copied();
                // And a site without one may be anyone's.
                named.chain(same.filter(|at| self.nobodys.contains(at))).collect()
            }
        };
        let mut near: Vec<Near> =
            found.into_iter().filter_map(|at| self.names.get(at)).map(|(_, near)| near.clone()).collect();
        // One order, whichever of them came first.
        near.sort();
        near.dedup_by(|a, b| a.site == b.site && a.zone == b.zone);
        near
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known() -> Known {
        let mut known = Known::default();
        for (client, name, site) in [
            (Some("Larkmead Club"), "Front lawn", "larkmead-front"),
            (Some("Larkmead Club"), "Back lawn", "larkmead-back"),
            (Some("Tessary Farm"), "Front lawn", "tessary-front"),
            (None, "Front lawn", "nobody-front"),
        ] {
            let near =
                Near { site: site.to_owned(), zone: WHOLE.to_owned(), name: name.to_owned(), said: false };
            known.add(client, near);
        }
        known
    }

    fn sites(found: Vec<Near>) -> Vec<String> {
        found.into_iter().map(|near| near.site).collect()
    }

    #[test]
    fn a_near_name_of_a_near_client_is_found_and_that_of_another_is_not() {
        assert_eq!(sites(known().near(Some("Larkmed Club"), "Frnt lawn")), ["larkmead-front"]);
        assert_eq!(
            sites(known().near(Some("Larkmead club"), "front-lawn")),
            ["larkmead-front", "nobody-front"]
        );
        assert_eq!(sites(known().near(Some("Overmere Trust"), "Back lawn")), [""; 0]);
    }

    #[test]
    fn without_a_client_the_very_name_is_found_whoever_has_it() {
        assert_eq!(
            sites(known().near(None, "Front Lawn")),
            ["larkmead-front", "nobody-front", "tessary-front"]
        );
        assert_eq!(sites(known().near(None, "Frnt lawn")), [""; 0]);
    }
}
