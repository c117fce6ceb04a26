//! All sites by season, the worst first: a shape, a colour and the symbols of the analytes concerned.

use super::font::{fit, width};
use super::input::{OverviewInput, SiteRow, SiteSeason, State, Width};
use super::legend::{MARK, flow};
use super::look::{FRAME, GRID, INK, Look, SOFT};
use super::mark;
use super::scene::{Anchor, Scene};
use super::single::heading;
use super::words;
use std::cmp::Reverse;

/// Rows drawn; the rest is counted in words. More could be neither read nor printed on a page.
pub const SITES_DRAWN: usize = 40;

/// Sites in the order drawn: state of the last season, how many analytes it concerns, states of the seasons before
/// it, then name and client.
pub fn worst_first(sites: &[SiteRow]) -> Vec<&SiteRow> {
    let mut sorted: Vec<&SiteRow> = sites.iter().collect();
    sorted.sort_by_cached_key(|site| {
        let states: Vec<State> = site.seasons.iter().rev().map(|season| season.state).collect();
        let last = site.seasons.last();
        let concerned = last.map_or(0, |last| last.analytes.split_whitespace().count());
        (
            states.first().map_or(u8::MAX, |s| *s as u8),
            Reverse(concerned),
            states,
            site.name.clone(),
            site.client.clone(),
        )
    });
    sorted
}

/// Draws the grid.
pub fn overview(input: &OverviewInput, width: Width) -> Scene {
    let look = Look::of(width);
    let sorted = worst_first(&input.sites);
    let drawn: Vec<&SiteRow> = sorted.into_iter().take(SITES_DRAWN).collect();
    let description = words::overview(input, drawn.len());
    let mut scene =
        Scene::new(look.width, &format!("{}: sites by season, the worst first", input.title), &description);
    let top = heading(&mut scene, &input.title, &input.subtitle, &look);
    let table = Table::new(&drawn, &look, width);
    let mut y = top + look.row();
    for (column, season) in table.seasons.iter().enumerate() {
        let at = (table.middle(column), y - look.small * 0.25);
        scene.text(at, Anchor::Middle, (look.small, true), SOFT, &season.to_string());
    }
    y += 4.0;
    for site in &drawn {
        scene.line((look.edge, y), (look.width - look.edge, y), 0.8, GRID);
        table.row(&mut scene, site, y, &look);
        y += table.height;
    }
    scene.line((look.edge, y), (look.width - look.edge, y), 0.8, FRAME);
    y = said_below(&mut scene, input, &drawn, &look, y);
    scene.height = (y + look.edge).ceil();
    scene
}

fn said_below(scene: &mut Scene, input: &OverviewInput, drawn: &[&SiteRow], look: &Look, mut y: f64) -> f64 {
    let rest = input.sites.len() - drawn.len();
    let said = match (drawn.len(), rest) {
        (0, _) => "no sites".to_owned(),
        (_, 0) => String::new(),
        (shown, rest) => format!("the worst {shown} of {}; {rest} more are not drawn", shown + rest),
    };
    if !said.is_empty() {
        y += look.row();
        scene.text((look.edge, y), Anchor::Start, (look.small, false), INK, &said);
    }
    legend(scene, drawn, look, y + 10.0)
}

fn legend(scene: &mut Scene, drawn: &[&SiteRow], look: &Look, top: f64) -> f64 {
    let occurs =
        |state: &State| drawn.iter().flat_map(|site| &site.seasons).any(|season| season.state == *state);
    let states: Vec<State> =
        [State::Act, State::Watch, State::Good, State::Unclassed].into_iter().filter(occurs).collect();
    let widths: Vec<f64> = states.iter().map(|s| MARK + width(words::state(*s), look.small, false)).collect();
    let places = flow(&widths, look.width - 2.0 * look.edge);
    let row = look.row() + 4.0;
    for (state, (x, line)) in states.iter().zip(&places) {
        let (x, y) = (look.edge + x, top + row * (*line as f64 + 0.5));
        mark::state(scene, (x + 9.0, y), look.mark * 1.4, *state);
        scene.text(
            (x + MARK, y + look.small * 0.35),
            Anchor::Start,
            (look.small, false),
            SOFT,
            words::state(*state),
        );
    }
    top + row * places.last().map_or(0.0, |(_, line)| *line as f64 + 1.0)
}

/// Where the columns stand.
struct Table {
    /// Seasons shown: the latest that fit.
    seasons: Vec<i16>,
    /// Where the first column begins.
    left: f64,
    /// Width of a column.
    column: f64,
    /// Height of a row.
    height: f64,
    /// On a narrow drawing the client stands under the name.
    below: bool,
}

impl Table {
    fn new(sites: &[&SiteRow], look: &Look, width: Width) -> Self {
        let mut seasons: Vec<i16> =
            sites.iter().flat_map(|site| &site.seasons).map(|season| season.season).collect();
        seasons.sort_unstable();
        seasons.dedup();
        let (names, least, below) = match width {
            Width::Wide => (300.0, 46.0, true),
            Width::Narrow => (140.0, 46.0, true),
        };
        let room = look.width - 2.0 * look.edge - names;
        let fit = (room / least).floor() as usize;
        let seasons = seasons.split_off(seasons.len().saturating_sub(fit));
        let column = (room / seasons.len().max(1) as f64).min(80.0);
        let left = look.width - look.edge - column * seasons.len() as f64;
        Self { seasons, left, column, height: look.row() * 2.0 + 6.0, below }
    }

    fn middle(&self, column: usize) -> f64 {
        self.left + self.column * (column as f64 + 0.5)
    }

    fn row(&self, scene: &mut Scene, site: &SiteRow, top: f64, look: &Look) {
        let room = self.left - look.edge - 8.0;
        let both = self.below && !site.client.is_empty();
        let name_y = if both { top + look.row() } else { top + self.height / 2.0 + look.small * 0.35 };
        let name = fit(&site.name, look.small, true, room);
        scene.text((look.edge, name_y), Anchor::Start, (look.small, true), INK, &name);
        if both {
            let client = fit(&site.client, look.small, false, room);
            let y = name_y + look.row() - 1.0;
            scene.text((look.edge, y), Anchor::Start, (look.small, false), SOFT, &client);
        }
        for (column, season) in self.seasons.iter().enumerate() {
            if let Some(cell) = site.seasons.iter().find(|cell| cell.season == *season) {
                self.cell(scene, cell, (self.middle(column), top), look);
            }
        }
    }

    fn cell(&self, scene: &mut Scene, cell: &SiteSeason, (x, top): (f64, f64), look: &Look) {
        let named = !cell.analytes.is_empty();
        let y = if named { top + self.height * 0.3 } else { top + self.height / 2.0 };
        mark::state(scene, (x, y), look.mark * 1.4, cell.state);
        if named {
            let words = fit(&cell.analytes, look.small - 1.0, false, self.column - 2.0);
            let at = (x, top + self.height - 6.0);
            scene.text(at, Anchor::Middle, (look.small - 1.0, false), INK, &words);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::samples;

    #[test]
    fn the_worst_site_comes_first_and_more_analytes_are_worse() {
        let input = samples::sites(6);
        let sorted = worst_first(&input.sites);
        let last = |site: &SiteRow| site.seasons.last().map(|s| s.state);
        let states: Vec<_> = sorted.iter().map(|site| last(site)).collect();
        assert!(states.is_sorted(), "{states:?}");
        let two = SiteRow {
            name: "z".into(),
            client: String::new(),
            seasons: vec![samples::state(2025, State::Act, "P K")],
        };
        let one = SiteRow {
            name: "a".into(),
            client: String::new(),
            seasons: vec![samples::state(2025, State::Act, "P")],
        };
        assert_eq!(worst_first(&[one, two])[0].name, "z");
    }

    #[test]
    fn thousands_of_sites_stay_one_page_and_the_rest_is_counted() {
        let scene = overview(&samples::sites(3000), Width::Wide);
        assert!(scene.height < 2200.0);
        assert!(scene.description.contains("2960 more"), "{}", scene.description);
    }
}
