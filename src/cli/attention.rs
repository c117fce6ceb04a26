//! What needs attention on many sites. Each site is noted and its assessment let go, so that any number of them fits
//! into memory.

use super::say::count;
use crate::assess::Assessment;
use crate::flag::{Flag, Severity};
use crate::soil::Site;
use crate::soil::site::WHOLE;
use std::cmp::Reverse;

/// The flags of one site.
#[derive(Debug)]
pub struct Flagged {
    /// Site id.
    pub id: String,
    /// Its name with client and id.
    pub title: String,
    /// Its flags in the order of the assessment.
    pub flags: Vec<Flag>,
}

impl Flagged {
    /// Sorts the most urgent first: most to act on, then most flags; equals by id.
    fn urgency(&self) -> (Reverse<usize>, Reverse<usize>, &str) {
        let act = self.flags.iter().filter(|flag| flag.severity == Severity::Act).count();
        (Reverse(act), Reverse(self.flags.len()), &self.id)
    }
}

/// What was noted of the sites that were assessed.
#[derive(Debug, Default)]
pub struct Attention {
    /// Sites looked at.
    assessed: usize,
    /// How many of them have flags.
    flagged: usize,
    /// Flags to act on.
    act: usize,
    /// Flags to watch.
    watch: usize,
    /// Only so many of the most urgent are kept, where there is a limit.
    most: Option<usize>,
    sites: Vec<Flagged>,
}

impl Attention {
    /// Counts every site and keeps only so many of the most urgent.
    pub fn to_most_urgent(most: usize) -> Self {
        Self { most: Some(most), ..Self::default() }
    }

    /// Notes a site.
    pub fn note(&mut self, assessment: &Assessment) {
        self.assessed += 1;
        if assessment.flags.is_empty() {
            return;
        }
        self.flagged += 1;
        let act = assessment.flags.iter().filter(|flag| flag.severity == Severity::Act).count();
        self.act += act;
        self.watch += assessment.flags.len() - act;
        self.sites.push(Flagged {
            id: assessment.site.id.clone(),
            title: title(&assessment.site),
            flags: assessment.flags.clone(),
        });
        // Twice as many, so that sorting is done once in a while and not at every site.
        if let Some(most) = self.most.filter(|most| self.sites.len() >= 2 * (most + 1)) {
            self.sites.sort_by(|a, b| a.urgency().cmp(&b.urgency()));
            self.sites.truncate(most);
        }
    }

    /// The sites with flags, the most urgent first.
    pub fn urgent(&self) -> Vec<&Flagged> {
        let mut sites: Vec<&Flagged> = self.sites.iter().collect();
        sites.sort_by_key(|site| site.urgency());
        sites.truncate(self.most.unwrap_or(usize::MAX));
        sites
    }

    /// Sites and their flags in sentences, at most so many flags of a site.
    pub fn lines(&self, most: usize) -> Vec<String> {
        let mut lines = Vec::new();
        let shown = self.urgent();
        for site in &shown {
            lines.push(site.title.clone());
            lines.extend(site.flags.iter().take(most).map(line));
            let rest = site.flags.len().saturating_sub(most);
            if rest > 0 {
                lines.push(format!("  and {rest} more: loamline flags --site {}", site.id));
            }
        }
        let others = self.flagged.saturating_sub(shown.len());
        if others > 0 {
            lines.push(format!("And {} with flags: loamline flags", count(others, "other site")));
        }
        lines
    }

    /// One line on how many flags there are.
    pub fn summary(&self) -> String {
        format!(
            "{} of {} with flags: {} to act on, {} to watch.",
            self.flagged,
            count(self.assessed, "site"),
            self.act,
            self.watch
        )
    }
}

/// A flag in a line.
pub fn line(flag: &Flag) -> String {
    let zone = if flag.zone == WHOLE { String::new() } else { format!(" [{}]", flag.zone) };
    format!("  {:<5} {:<17}{zone} {}", flag.severity.id(), flag.flag.id(), flag.reason)
}

/// The name of a site with its client and id.
pub fn title(site: &Site) -> String {
    let name = if site.name.is_empty() { &site.id } else { &site.name };
    match &site.client {
        Some(client) => format!("{name}, {client} ({})", site.id),
        None => format!("{name} ({})", site.id),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flag::FlagKind;
    use std::collections::BTreeMap;

    fn flag(severity: Severity) -> Flag {
        Flag {
            site: String::new(),
            zone: WHOLE.to_owned(),
            season: 2024,
            analyte: None,
            flag: FlagKind::RetestDue,
            severity,
            value: None,
            edge: None,
            unit: None,
            guide: None,
            reason: "Due.".to_owned(),
        }
    }

    fn assessed(n: usize) -> Assessment {
        let mut flags = vec![flag(Severity::Watch); n % 7];
        flags.extend(vec![flag(Severity::Act); n % 5]);
        Assessment {
            site: Site { id: format!("s{n:03}"), ..Site::default() },
            today: jiff::civil::date(2024, 11, 1),
            series: Vec::new(),
            flags,
            leave_alone: Vec::new(),
            retest_on: BTreeMap::new(),
        }
    }

    #[test]
    fn the_most_urgent_are_the_same_whatever_is_let_go() {
        let (mut all, mut few) = (Attention::default(), Attention::to_most_urgent(4));
        for n in 0..200 {
            // Not in the order of their ids.
            let assessment = assessed(n * 37 % 200);
            all.note(&assessment);
            few.note(&assessment);
        }
        let ids = |found: &Attention| -> Vec<String> {
            found.urgent().into_iter().take(4).map(|site| site.id.clone()).collect()
        };
        assert_eq!(ids(&few), ids(&all));
        assert_eq!(few.urgent().len(), 4);
        assert_eq!(few.summary(), all.summary());
        assert!(few.sites.len() < 10, "{} are kept", few.sites.len());
        let last = few.lines(1).pop().unwrap();
        assert_eq!(last, format!("And {} other sites with flags: loamline flags", all.urgent().len() - 4));
    }
}
