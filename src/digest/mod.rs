//! The digest: what is new since the last one, for people (text, HTML) and programs (JSON). Quiet where nothing is.

mod news;

mod text;

mod html;

pub use news::{SiteNews, of_site};

use crate::flag::{Flag, Severity};
use crate::soil::{Analyte, Method, Site};
use jiff::civil::Date;
use serde::Serialize;

/// A site as it is named to people.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SiteName {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whose it is.
    pub client: Option<String>,
}

impl SiteName {
    /// The name of a site.
    pub fn of(site: &Site) -> Self {
        let name = if site.name.is_empty() { site.id.clone() } else { site.name.clone() };
        Self { id: site.id.clone(), name, client: site.client.clone() }
    }
}

/// A flag that no digest told before, or only as less urgent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NewFlag {
    /// Where.
    pub site: SiteName,
    /// The flag.
    pub flag: Flag,
    /// How urgent it was told before; none where it is new.
    pub was: Option<Severity>,
}

/// A line that meets the edge of sufficiency sooner than a digest told.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Closer {
    /// Where.
    pub site: SiteName,
    /// Which part of it.
    pub zone: String,
    /// What.
    pub analyte: Analyte,
    /// How measured.
    pub method: Method,
    /// The season told before.
    pub was: i32,
    /// The season now.
    pub now: i32,
}

/// Two sites with names nearly alike, perhaps one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PerhapsOne {
    /// The one with more samples.
    pub site: SiteName,
    /// The other.
    pub other: SiteName,
}

/// An original and what became of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OriginalNews {
    /// Name as it came.
    pub file: String,
    /// SHA-256.
    pub sha256: String,
    /// Laboratory as printed.
    pub lab: Option<String>,
    /// Client as printed.
    pub client: Option<String>,
    /// Number of the report as printed.
    pub report: Option<String>,
    /// Readings it gave.
    pub readings: u64,
    /// Why it waits or was refused.
    pub why: Option<String>,
}

/// What is new since the last digest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Digest {
    /// The day it was made for.
    pub day: Date,
    /// What is wrong with the service itself; first, because the rest may not be whole.
    pub trouble: Vec<String>,
    /// New flags but for samplings due, the most urgent first.
    pub flags: Vec<NewFlag>,
    /// Crossings that moved closer, the soonest first.
    pub closer: Vec<Closer>,
    /// Originals that wait for a person since.
    pub held: Vec<OriginalNews>,
    /// Pairs of sites that are perhaps one, since.
    pub alike: Vec<PerhapsOne>,
    /// Originals refused since.
    pub refused: Vec<OriginalNews>,
    /// Reports taken in since.
    pub reports: Vec<OriginalNews>,
    /// Zones due for sampling since.
    pub retests: Vec<NewFlag>,
}

/// How many there are of each, also where a list was cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// New flags to act on.
    pub act: usize,
    /// New flags to watch.
    pub watch: usize,
    /// Crossings closer.
    pub closer: usize,
    /// Originals that wait.
    pub held: usize,
    /// Pairs of sites that are perhaps one.
    pub alike: usize,
    /// Originals refused.
    pub refused: usize,
    /// Reports taken in.
    pub reports: usize,
    /// Zones due.
    pub retests: usize,
}

/// Entries of one list that a message holds; the rest is counted.
const MOST: usize = 200;

/// The JSON that programs receive.
#[derive(Debug, Serialize)]
struct Body<'a> {
    id: &'a str,
    kind: &'static str,
    subject: &'a str,
    text: &'a str,
    counts: Counts,
    digest: Digest,
}

impl Digest {
    /// A digest without news.
    pub fn of_day(day: Date) -> Self {
        Self {
            day,
            trouble: Vec::new(),
            flags: Vec::new(),
            closer: Vec::new(),
            held: Vec::new(),
            alike: Vec::new(),
            refused: Vec::new(),
            reports: Vec::new(),
            retests: Vec::new(),
        }
    }

    /// Adds what is new of a site.
    pub fn add(&mut self, news: SiteNews) {
        self.flags.extend(news.flags);
        self.closer.extend(news.closer);
        self.retests.extend(news.retests);
    }

    /// Puts every list in its order.
    pub fn sort(&mut self) {
        self.flags.sort_by(|a, b| {
            let key = |new: &NewFlag| (new.flag.severity, new.site.id.clone());
            key(a).cmp(&key(b))
        });
        self.closer.sort_by_key(|closer| (closer.now, closer.site.id.clone()));
        self.retests.sort_by(|a, b| a.site.id.cmp(&b.site.id));
        self.alike.sort_by(|a, b| (&a.site.id, &a.other.id).cmp(&(&b.site.id, &b.other.id)));
        for originals in [&mut self.held, &mut self.refused, &mut self.reports] {
            originals.sort_by(|a, b| (&a.file, &a.sha256).cmp(&(&b.file, &b.sha256)));
        }
    }

    /// True where there is nothing to say.
    pub fn is_quiet(&self) -> bool {
        self.trouble.is_empty() && self.counts() == Self::of_day(self.day).counts()
    }

    /// How many there are of each.
    pub fn counts(&self) -> Counts {
        let of = |severity| self.flags.iter().filter(|new| new.flag.severity == severity).count();
        Counts {
            act: of(Severity::Act),
            watch: of(Severity::Watch),
            closer: self.closer.len(),
            held: self.held.len(),
            alike: self.alike.len(),
            refused: self.refused.len(),
            reports: self.reports.len(),
            retests: self.retests.len(),
        }
    }

    /// One line on all of it.
    pub fn subject(&self) -> String {
        text::subject(self)
    }

    /// For people.
    pub fn text(&self) -> String {
        text::text(self)
    }

    /// The same as a page.
    ///
    /// # Errors
    /// What the template says.
    pub fn html(&self) -> Result<String, askama::Error> {
        html::html(self)
    }

    /// For programs, under the name the message goes by.
    ///
    /// # Errors
    /// What JSON cannot hold.
    pub fn json(&self, id: &str) -> Result<String, serde_json::Error> {
        let mut digest = self.clone();
        digest.flags.truncate(MOST);
        digest.closer.truncate(MOST);
        digest.retests.truncate(MOST);
        digest.alike.truncate(MOST);
        for originals in [&mut digest.held, &mut digest.refused, &mut digest.reports] {
            originals.truncate(MOST);
        }
        serde_json::to_string(&Body {
            id,
            kind: "digest",
            subject: &self.subject(),
            text: &self.text(),
            counts: self.counts(),
            digest,
        })
    }
}
