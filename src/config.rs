//! loamline.toml: settings with defaults, and errors that name the line.

use crate::document::Limits;
use crate::guide;
use crate::plan::SiteSettings;
use crate::reach::{DigestSettings, PickUpSettings, SmtpSettings, TrustSettings, WebhookSettings};
use crate::soil::table::TableError;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;
use toml::de::DeTable;

/// Address space that a reader needs for itself, MiB: with less, every document would seem to be at fault.
const MEMORY_MIB: u64 = 256;

/// What is wrong with the settings; one sentence for a person.
#[derive(Debug, thiserror::Error)]
pub enum ConfigError {
    /// The file is there but cannot be read.
    #[error(
        "The settings {path} cannot be read ({cause}): check the file, or remove it to use the defaults."
    )]
    Unreadable {
        /// Which file.
        path: String,
        /// What the system says.
        cause: std::io::Error,
    },
    /// A line that means nothing.
    #[error("{path}:{line}:{column}: {what}{near}")]
    Wrong {
        /// Which file.
        path: String,
        /// From 1.
        line: usize,
        /// From 1.
        column: usize,
        /// What is wrong there.
        what: String,
        /// What was probably meant, or nothing.
        near: String,
    },
}

/// Everything that can be set. Each section, and each line of it, may be left out.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Settings {
    /// Bounds for documents.
    pub limits: LimitSettings,
    /// The inbox.
    pub watch: WatchSettings,
    /// Which year a sample counts for.
    pub season: SeasonSettings,
    /// Which tables speak.
    pub guides: GuideSettings,
    /// When a flag is raised.
    pub flags: FlagSettings,
    /// The season's plan.
    pub plan: PlanSettings,
    /// The pages.
    pub serve: ServeSettings,
    /// The digest of what is new.
    pub digest: DigestSettings,
    /// A program that hears of each digest.
    pub webhook: Option<WebhookSettings>,
    /// People who get each digest by mail.
    pub smtp: Option<SmtpSettings>,
    /// Authorities of one's own for all three.
    pub trust: TrustSettings,
    /// Addresses that give reports.
    pub pick_up: Vec<PickUpSettings>,
    /// What is known and wanted of single sites, by site id: `[sites.front-lawn]`.
    pub sites: BTreeMap<String, SiteSettings>,
}

/// `[serve]`: the pages.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ServeSettings {
    /// Address and port (127.0.0.1:8460); any but this machine's own needs a password first.
    pub listen: Option<std::net::SocketAddr>,
    /// Further names under which browsers reach the pages, as they stand in the address bar: `soil.example.org`.
    pub hosts: Vec<String>,
    /// True where a front server gives the pages out by https: cookies then go over https alone.
    pub https: bool,
}

/// `[plan]`
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct PlanSettings {
    /// The products file (TOML or CSV), where it is not `products.toml` or `products.csv` in the home.
    pub products: Option<PathBuf>,
    /// Who signs the letters.
    pub from: Option<String>,
}

/// `[limits]`: bounds that a document may not pass; none means the default.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LimitSettings {
    /// Size of a file, MiB (64).
    pub file_mib: Option<u64>,
    /// What a document may unpack to, MiB (256).
    pub unpacked_mib: Option<u64>,
    /// Address space of the reading process, MiB (1024).
    pub memory_mib: Option<u64>,
    /// Seconds for one document (20).
    pub seconds: Option<u64>,
    /// Pages of a report (500).
    pub pages: Option<usize>,
    /// Scanned pages of a report (60).
    pub scanned_pages: Option<usize>,
    /// Seconds for text recognition of one page (120).
    pub scan_page_seconds: Option<u64>,
    /// Seconds for text recognition of one document (600).
    pub scan_seconds: Option<u64>,
    /// Pixels of a scan (50 000 000).
    pub pixels: Option<u64>,
    /// Files in an archive (2000).
    pub members: Option<usize>,
}

/// `[watch]`: how the inbox is looked at.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct WatchSettings {
    /// The drop folder, where it is not `inbox` in the home; a network share is fine.
    pub inbox: Option<PathBuf>,
    /// A file is read once it has not changed for so many seconds.
    pub settle_seconds: f64,
    /// The folder is listed at least this often, seconds.
    pub list_seconds: u64,
    /// True for a folder that sends no events; found out by itself on the usual network shares.
    pub poll: bool,
    /// An empty file is waited for so long, minutes.
    pub empty_minutes: u64,
    /// Nothing new is begun with less free space, MiB.
    pub keep_free_mib: u64,
}

impl Default for WatchSettings {
    fn default() -> Self {
        Self {
            inbox: None,
            settle_seconds: 2.0,
            list_seconds: 30,
            poll: false,
            empty_minutes: 10,
            keep_free_mib: 50,
        }
    }
}

/// `[season]`
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct SeasonSettings {
    /// From this month on (1 to 12) a sample counts for the next year; none: always its own year.
    pub next_from_month: Option<i8>,
}

/// `[guides]`
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct GuideSettings {
    /// Guide ids in order of preference, for sites that name none.
    pub default: Vec<String>,
    /// What grows on a site that says nothing: `turf`, `lawn`, `corn` ...
    pub default_use: Option<String>,
    /// Where sites lie that say nothing, in the guides' words.
    pub default_region: Option<String>,
}

/// `[flags]`
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FlagSettings {
    /// Years ahead within which a falling line is flagged; none: as the flag's own table says.
    pub horizon_years: Option<u16>,
}

impl Settings {
    /// Reads the settings; a missing file means defaults.
    ///
    /// # Errors
    /// [`ConfigError`] with the line and what was probably meant.
    pub fn load(path: &Path) -> Result<Self, ConfigError> {
        let shown = path.display().to_string();
        match std::fs::read_to_string(path) {
            Ok(text) => {
                let mut settings = Self::parse(&text, &shown)?;
                let home = path.parent().unwrap_or(Path::new(""));
                settings.trust.read(home).map_err(|(file, what)| {
                    let name = file.display().to_string();
                    let from = place_of(&text, &["trust", "roots"]);
                    let below = text.get(from..).and_then(|rest| rest.find(&name)).unwrap_or(0);
                    let (line, column) = line_and_column(&text, from + below);
                    let what = format!("the file {name} of `roots` under [trust] {what}");
                    ConfigError::Wrong { path: shown, line, column, what, near: String::new() }
                })?;
                Ok(settings)
            }
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(Self::default()),
            Err(cause) => Err(ConfigError::Unreadable { path: shown, cause }),
        }
    }

    /// Reads settings out of text; `path` is only named in errors.
    ///
    /// # Errors
    /// As [`Settings::load`].
    pub fn parse(text: &str, path: &str) -> Result<Self, ConfigError> {
        let wrong = |at: usize, what: String, near: String| {
            let (line, column) = line_and_column(text, at);
            ConfigError::Wrong { path: path.to_owned(), line, column, what, near }
        };
        let settings: Self = toml::from_str(text).map_err(|e| {
            let at = e.span().map_or(0, |s| s.start);
            let what = e.message().lines().collect::<Vec<_>>().join(" ");
            let near = near_name(&what).map(|n| format!(" (did you mean `{n}`?)")).unwrap_or_default();
            wrong(at, what, near)
        })?;
        let at = |names: &[&str]| place_of(text, names);
        if !(0.0..=3600.0).contains(&settings.watch.settle_seconds) {
            return Err(wrong(
                at(&["watch", "settle_seconds"]),
                "`settle_seconds` must be between 0 and 3600".into(),
                String::new(),
            ));
        }
        if settings.season.next_from_month.is_some_and(|m| !(1..=12).contains(&m)) {
            return Err(wrong(
                at(&["season", "next_from_month"]),
                "`next_from_month` must be a month from 1 to 12".into(),
                String::new(),
            ));
        }
        if settings.limits.seconds == Some(0) || settings.limits.memory_mib.is_some_and(|m| m < MEMORY_MIB) {
            let what = format!("`limits` need at least 1 second and {MEMORY_MIB} MiB of memory");
            return Err(wrong(at(&["limits"]), what, String::new()));
        }
        if let Some((at, what)) = settings.wrong_messages(text) {
            return Err(wrong(at, what, String::new()));
        }
        for (site, own) in &settings.sites {
            if let Some((name, must)) = own.wrong() {
                return Err(wrong(
                    at(&["sites", site, name]),
                    format!("`{name}` of the site `{site}` {must}"),
                    String::new(),
                ));
            }
        }
        let everywhere = (vec!["guides", "default"], settings.guides.default.as_slice(), None);
        let of_sites = settings.sites.iter().flat_map(|(site, own)| {
            let below = |name| vec!["sites", site.as_str(), name];
            let texture = (below("texture"), [].as_slice(), own.texture.as_deref());
            [(below("guides"), own.guides.as_slice(), None), texture]
        });
        for (names, guides, texture) in std::iter::once(everywhere).chain(of_sites) {
            let found = unknown_word(guides, texture).map_err(|e| wrong(0, e.to_string(), String::new()))?;
            if let Some((word, what, near)) = found {
                let from = at(&names);
                let below = text.get(from..).and_then(|rest| rest.find(&word)).unwrap_or(0);
                return Err(wrong(from + below, what, near));
            }
        }
        for (site, own) in &settings.sites {
            for (analyte, edge) in &own.edges {
                let Some(must) = edge.wrong(*analyte) else { continue };
                let what = format!("the edge of `{analyte}` at the site `{site}` {must}");
                return Err(wrong(at(&["sites", site, "edges", analyte.id()]), what, String::new()));
            }
        }
        Ok(settings)
    }

    /// What is wrong with the settings of messages and pick-up, and at which byte of the text.
    fn wrong_messages(&self, text: &str) -> Option<(usize, String)> {
        let single = [
            ("[digest]", 0, self.digest.wrong()),
            ("[webhook]", 0, self.webhook.as_ref().and_then(WebhookSettings::wrong)),
            ("[smtp]", 0, self.smtp.as_ref().and_then(SmtpSettings::wrong)),
        ];
        let many = self.pick_up.iter().enumerate().map(|(n, one)| ("[[pick_up]]", n, one.wrong()));
        let (section, nth, (name, must)) = single
            .into_iter()
            .chain(many)
            .find_map(|(section, nth, wrong)| wrong.map(|wrong| (section, nth, wrong)))?;
        let head = text.match_indices(section).nth(nth).map_or(0, |(at, _)| at);
        let below = text.get(head..).and_then(|rest| rest.find(&format!("\n{name}"))).map_or(0, |at| at + 1);
        Some((head + below, format!("`{name}` under `{section}` {must}")))
    }

    /// The bounds with the settings put in.
    pub fn limits(&self) -> Limits {
        let mut l = Limits::default();
        let s = &self.limits;
        let mib = |n: u64| n.saturating_mul(1 << 20);
        l.file_bytes = s.file_mib.map_or(l.file_bytes, mib);
        l.unpacked_bytes = s.unpacked_mib.map_or(l.unpacked_bytes, mib);
        l.memory_mib = s.memory_mib.unwrap_or(l.memory_mib);
        l.seconds = s.seconds.unwrap_or(l.seconds);
        l.pages = s.pages.unwrap_or(l.pages);
        l.scanned_pages = s.scanned_pages.unwrap_or(l.scanned_pages);
        l.ocr_page_seconds = s.scan_page_seconds.unwrap_or(l.ocr_page_seconds);
        l.ocr_seconds = s.scan_seconds.unwrap_or(l.ocr_seconds);
        l.pixels = s.pixels.unwrap_or(l.pixels);
        l.members = s.members.unwrap_or(l.members);
        l
    }
}

impl WatchSettings {
    /// How long a file must not have changed.
    pub fn settle(&self) -> Duration {
        Duration::from_secs_f64(self.settle_seconds.clamp(0.0, 3600.0))
    }
}

/// Line and column of a byte, both from 1.
fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
    (before.matches('\n').count() + 1, column)
}

/// Where a name stands, found by the names of the tables around it; else the innermost of these that is there.
fn place_of(text: &str, names: &[&str]) -> usize {
    let (document, _) = DeTable::parse_recoverable(text);
    let (mut table, mut place) = (Some(document.get_ref()), 0);
    for name in names {
        let found = table.and_then(|table| table.iter().find(|(key, _)| key.get_ref() == name));
        let Some((key, value)) = found else { break };
        (table, place) = (value.get_ref().as_table(), key.span().start);
    }
    place
}

/// The first guide or texture that no table knows: the word, a sentence, and the near name.
fn unknown_word(
    guides: &[String],
    texture: Option<&str>,
) -> Result<Option<(String, String, String)>, TableError> {
    let near = |word: &str, known: &[&str]| {
        let listed: String = known.iter().map(|name| format!(" `{name}`")).collect();
        near_name(&format!("`{word}`{listed}"))
            .map(|name| format!(" (did you mean `{name}`?)"))
            .unwrap_or_default()
    };
    for id in guides {
        if guide::guide(id)?.is_none() {
            let known: Vec<&str> = guide::guides()?.iter().map(|guide| guide.id.as_str()).collect();
            let what = format!("there is no guide `{id}`; `loamline guides` lists them");
            return Ok(Some((id.clone(), what, near(id, &known))));
        }
    }
    let known = guide::condition::textures()?;
    Ok(texture.filter(|word| !known.contains(&guide::condition::word(word).as_str())).map(|word| {
        let what = format!("no guide knows the texture `{word}`; it is one of {}", known.join(", "));
        (word.to_owned(), what, near(word, &known))
    }))
}

/// Of the names an error lists in ticks, the one that the first, unknown one is a slip of.
fn near_name(message: &str) -> Option<String> {
    let mut names = message.split('`').skip(1).step_by(2);
    let unknown = names.next()?;
    let (distance, name) = names.map(|n| (edit_distance(unknown, n), n)).min()?;
    (distance <= 1 + unknown.chars().count() / 4).then(|| name.to_owned())
}

/// Letters to add, drop or change to make one word of the other.
fn edit_distance(a: &str, b: &str) -> usize {
    let mut row: Vec<usize> = (0..=b.chars().count()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut next = vec![i + 1];
        for ((y, pair), left) in b.chars().zip(row.windows(2)).zip(0..) {
            let [diagonal, above] = pair else { continue };
            let before: usize = next.get(left).copied().unwrap_or(usize::MAX - 1);
            next.push((diagonal + usize::from(x != y)).min(above + 1).min(before + 1));
        }
        row = next;
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_file_means_defaults() {
        let s = Settings::load(Path::new("/nowhere/loamline.toml")).unwrap();
        assert_eq!(s, Settings::default());
        assert_eq!(s.limits(), Limits::default());
    }

    #[test]
    fn an_unknown_name_is_answered_with_file_line_and_the_near_name() {
        let text = "[limits]\nseconds = 30\n\n[watch]\nsetle_seconds = 3\n";
        let e = Settings::parse(text, "loamline.toml").unwrap_err().to_string();
        assert!(e.starts_with("loamline.toml:5:1: "), "{e}");
        assert!(e.contains("did you mean `settle_seconds`?"), "{e}");
    }

    #[test]
    fn a_value_out_of_bounds_names_its_line() {
        let e = Settings::parse("[season]\nnext_from_month = 13\n", "x.toml").unwrap_err().to_string();
        assert!(e.starts_with("x.toml:2:1: "), "{e}");
    }

    #[test]
    fn a_setting_of_a_site_out_of_bounds_names_its_line() {
        let text =
            "[sites.north]\narea_ft2 = 8000\n\n[sites.south]\nspecies = \"fescue\"\nexclude_months = [0]\n";
        let e = Settings::parse(text, "x.toml").unwrap_err().to_string();
        assert!(e.starts_with("x.toml:6:1: ") && e.contains("south"), "{e}");
        let e = Settings::parse("[sites.north]\narea = 1\n", "x.toml").unwrap_err().to_string();
        assert!(e.starts_with("x.toml:2:1: "), "{e}");
    }

    #[test]
    fn an_unknown_guide_or_texture_and_an_edge_without_a_note_name_their_line() {
        let error = |text: &str| Settings::parse(text, "x.toml").unwrap_err().to_string();
        let e = error("[sites.north]\nuse = \"lawn\"\nguides = [\"turf-mlsn\", \"turf-slan-204\"]\n");
        assert!(e.starts_with("x.toml:3:25: ") && e.contains("did you mean `turf-slan-2004`?"), "{e}");
        let e = error("[guides]\ndefault = [\"hearsay\"]\n");
        assert!(e.starts_with("x.toml:2:13: ") && e.contains("loamline guides"), "{e}");
        let e = error("[sites.north]\ntexture = \"sandy lom\"\n");
        assert!(e.starts_with("x.toml:2:12: ") && e.contains("sandy-loam"), "{e}");
        let edge = |line: &str| format!("[sites.north]\nuse = \"lawn\"\n\n[sites.north.edges]\n{line}\n");
        let e = error(&edge("phosphorus = { method = \"mehlich-3\", from = 30, note = \" \" }"));
        assert!(e.starts_with("x.toml:5:1: ") && e.contains("note"), "{e}");
        let e = error(&edge("phosphorus = { method = \"dtpa\", from = 30, note = \"x\" }"));
        assert!(e.contains("not measured by dtpa"), "{e}");
        let sound =
            edge("phosphorus = { method = \"mehlich-3\", from = 30, to = 60, note = \"the club's wish\" }");
        assert_eq!(Settings::parse(&sound, "x.toml").unwrap().sites["north"].edges.len(), 1);
        let e = error(&edge("phosphor = { method = \"mehlich-3\", from = 30, note = \"x\" }"));
        assert!(e.starts_with("x.toml:5:1: ") && e.contains("did you mean `phosphorus`?"), "{e}");
    }

    #[test]
    fn a_wrong_address_or_a_missing_secret_names_its_line_and_no_secret_is_shown() {
        let line = |text: &str| Settings::parse(text, "x.toml").unwrap_err().to_string();
        let e = line("[webhook]\nurl = \"hooks\"\nsecret = \"hush\"\n");
        assert!(e.starts_with("x.toml:2:1: ") && !e.contains("hush"), "{e}");
        assert!(line("[webhook]\nurl = \"https://example.org\"\n").contains("missing field `secret`"));
        let two = "[[pick_up]]\nname = \"a\"\nurl = \"https://example.org\"\n\n[[pick_up]]\nname = \"b\"\nurl = \"ftp://example.org\"\n";
        assert!(line(two).starts_with("x.toml:7:1: "), "{}", line(two));
        let mail = "[smtp]\nhost = \"mail.example.org\"\nfrom = \"soil@example.org\"\nto = []\n";
        assert!(line(mail).starts_with("x.toml:4:1: "));
        let fine = "[webhook]\nurl = \"https://example.org/hush\"\nsecret = \"hush\"\n";
        assert!(!format!("{:?}", Settings::parse(fine, "x").unwrap()).contains("hush"));
    }

    #[test]
    fn a_line_is_found_however_the_table_is_written_and_not_in_a_comment() {
        let error = |text: &str| Settings::parse(text, "x.toml").unwrap_err().to_string();
        let e = error("# [sites.north] exclude_months\nsites.north = { exclude_months = [0] }\n");
        assert!(e.starts_with("x.toml:2:17: "), "{e}");
        let e = error("[sites.north-two]\nexclude_months = [7]\n\n[sites.\"north\"]\nexclude_months = [0]\n");
        assert!(e.starts_with("x.toml:5:1: "), "{e}");
        let e = error("# settle_seconds\n[watch]\npoll = true\nsettle_seconds = -1\n");
        assert!(e.starts_with("x.toml:4:1: "), "{e}");
        let e = error("[serve]\nlisten = \"here\"\n");
        assert!(e.starts_with("x.toml:2:10: "), "{e}");
    }

    /// The names that a section knows, as the answer to an unknown one lists them.
    fn known(section: &str) -> Vec<String> {
        let text = format!("{section}\nno_such_name = 1\n");
        let Err(wrong) = toml::from_str::<Settings>(&text) else { panic!("{section} takes any name") };
        wrong.message().split('`').skip(3).step_by(2).map(str::to_owned).collect()
    }

    #[test]
    fn each_setting_once_wrong_names_its_line() {
        let sections = known("");
        assert!(sections.len() >= 12, "{sections:?}");
        let mut tried = 0;
        for section in &sections {
            let head = match section.as_str() {
                "pick_up" => "[[pick_up]]".to_owned(),
                "sites" => "[sites.lawn]".to_owned(),
                _ => format!("[{section}]"),
            };
            for name in known(&head) {
                // An empty name in a list of lists is nothing that any setting can be.
                for wrong in ["[[{}]]", "nothing"] {
                    let e = Settings::parse(&format!("{head}\n{name} = {wrong}\n"), "x.toml").unwrap_err();
                    assert!(e.to_string().starts_with("x.toml:2:"), "{head} {name} = {wrong}: {e}");
                    tried += 1;
                }
            }
        }
        assert!(tried > 100, "{tried}");
    }

    #[test]
    fn a_limit_set_is_a_limit_used() {
        let s = Settings::parse("[limits]\nfile_mib = 2\nseconds = 5\n", "x").unwrap();
        assert_eq!((s.limits().file_bytes, s.limits().seconds), (2 << 20, 5));
    }

    #[test]
    fn edit_distance_counts_letters() {
        assert_eq!(edit_distance("setle", "settle"), 1);
        assert_eq!(edit_distance("poll", "poll"), 0);
        assert_eq!(edit_distance("", "abc"), 3);
    }
}
