//! The words on a chart and beside it: heads, the sentence of a crossing, and the chart told to whom cannot see it.

use super::axis::written;
use super::input::{ChartInput, Crossing, OverviewInput, Panel, Point, State, Zone};
use crate::soil::{Analyte, Method};

/// `26 mg/kg`, `6.4`.
pub(super) fn amount(value: f64, analyte: Analyte) -> String {
    let unit = analyte.unit().suffix();
    let value = written(value, analyte);
    if unit.is_empty() { value } else { format!("{value} {unit}") }
}

/// A value as it is labelled, qualifier first: `<5`.
pub(super) fn point(point: &Point, analyte: Analyte) -> String {
    format!("{}{}", point.qualifier.map_or("", |q| q.id()), written(point.value, analyte))
}

/// Head of a panel: analyte and unit.
pub(super) fn head(analyte: Analyte) -> String {
    let name = name(analyte);
    let unit = analyte.unit().suffix();
    if unit.is_empty() { name } else { format!("{name}, {unit}") }
}

/// The analyte's name as a sentence or a head begins with it; pH and CEC keep their letters.
fn name(analyte: Analyte) -> String {
    let name = analyte.name();
    let second_is_capital = name.chars().nth(1).is_some_and(char::is_uppercase);
    if second_is_capital { name.to_owned() } else { capital(name) }
}

/// `26 to 50 mg/kg: sufficient, lawn guide`: the numbers first, for a long name may be cut.
pub(super) fn zone(zone: &Zone, analyte: Analyte) -> String {
    match zone.to {
        Some(to) => format!("{} to {}: {}", written(zone.from, analyte), amount(to, analyte), zone.label),
        None => format!("from {}: {}", amount(zone.from, analyte), zone.label),
    }
}

/// `Trend meets 26 mg/kg in 2029 (2028 to 2033)`.
pub(super) fn crossing(crossing: &Crossing, zone: Option<&Zone>, analyte: Analyte) -> String {
    let edge = zone.map_or("the edge of sufficiency".to_owned(), |zone| amount(zone.from, analyte));
    let between = match (crossing.low, crossing.high) {
        (Some(low), Some(high)) if low == high => String::new(),
        (Some(low), Some(high)) => format!(" ({low} to {high})"),
        (Some(low), None) => format!(" ({low} or later)"),
        (None, Some(high)) => format!(" (by {high})"),
        (None, None) => String::new(),
    };
    format!("Trend meets {edge} in {}{between}", crossing.season)
}

/// A panel in sentences.
pub(super) fn panel(panel: &Panel) -> String {
    let analyte = panel.analyte;
    let mut said: Vec<String> = Vec::new();
    for line in &panel.lines {
        let (Some(first), Some(last)) = (line.points.first(), line.points.last()) else { continue };
        let method = if line.method.is_empty() { panel.method.as_str() } else { line.method.as_str() };
        let method = if method.is_empty() { String::new() } else { format!(" by {method}") };
        let unit = analyte.unit().suffix();
        let value = format!("{}{}{unit}", point(last, analyte), if unit.is_empty() { "" } else { " " });
        let below = line.points.iter().filter(|p| p.below).count();
        said.push(match line.points.len() {
            1 => format!("{}{method}: {value} in {}", name(analyte), first.season),
            n => format!(
                "{}{method}: {n} seasons from {} to {}, last {value}",
                name(analyte),
                first.season,
                last.season
            ),
        });
        if below > 0 {
            said.push(format!("{below} of {} below sufficiency", line.points.len()));
        }
        if let Some(trend) = &line.trend {
            let way = if trend.slope < 0.0 { "falling" } else { "rising" };
            if trend.slope != 0.0 {
                let rate = slope(trend.slope.abs(), analyte);
                said.push(format!("{way} by {rate} a year"));
            }
        }
    }
    if said.is_empty() {
        said.push(format!("{}: no reading", name(analyte)));
    }
    if let Some(range) = &panel.zone {
        said.push(zone(range, analyte));
    }
    said.extend(
        panel.breaks.iter().map(|b| format!("method changes in {} to {}, not comparable", b.season, b.label)),
    );
    said.extend(
        panel.lab_changes.iter().map(|b| format!("laboratory changes in {} to {}", b.season, b.label)),
    );
    said.extend(panel.crossing.iter().map(|c| crossing(c, panel.zone.as_ref(), analyte)));
    said.extend(panel.note.clone());
    format!("{}.", said.join("; ").trim_end_matches('.'))
}

/// A method as a person writes it.
pub(super) fn method(method: Method) -> String {
    use Method::*;
    let id = method.id();
    match method {
        Unstated => "method not stated".to_owned(),
        Mehlich3Colorimetric => "Mehlich 3, colorimetric".to_owned(),
        BrayP1 => "Bray P1".to_owned(),
        BrayP2 => "Bray P2".to_owned(),
        AbDtpa => "AB-DTPA".to_owned(),
        Dtpa | Smp | Cal | Kcl => id.to_uppercase(),
        Cacl2 => "CaCl2".to_owned(),
        Ec1to1 => "EC 1:1".to_owned(),
        Ec1to2 => "EC 1:2".to_owned(),
        Water1to1 | Water1to2 | Water1to2_5 | Water1to5 | AmmoniumAcetate | HotWater | CalciumPhosphate
        | SaturatedPaste | LossOnIgnition | Summation => id.replace('-', " "),
        _ => id.split('-').map(capital).collect::<Vec<_>>().join(" "),
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A slope keeps two figures, so that a small one is not rounded to nothing.
fn slope(value: f64, analyte: Analyte) -> String {
    let figures = (1.0 - value.log10().floor()).clamp(0.0, 6.0) as usize;
    let unit = analyte.unit().suffix();
    format!("{value:.figures$}{}{unit}", if unit.is_empty() { "" } else { " " })
}

/// A chart's title for a screen reader.
pub(super) fn title(input: &ChartInput) -> String {
    let names: Vec<&str> = input.panels.iter().map(|panel| panel.analyte.name()).collect();
    format!("{}: {} by season", input.title, listed(&names))
}

/// `a, b and c`.
fn listed(names: &[&str]) -> String {
    match names.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => "nothing".to_owned(),
    }
}

/// A chart in sentences.
pub(super) fn description(input: &ChartInput) -> String {
    input.panels.iter().map(panel).collect::<Vec<_>>().join(" ")
}

/// What a state is called.
pub(super) const fn state(state: State) -> &'static str {
    match state {
        State::Act => "act",
        State::Watch => "watch",
        State::Good => "nothing flagged",
        State::Unclassed => "sampled, no class",
    }
}

/// An overview in sentences: how many sites stand how in their last season.
pub(super) fn overview(input: &OverviewInput, drawn: usize) -> String {
    let count = |wanted: State| {
        input.sites.iter().filter(|site| site.seasons.last().is_some_and(|last| last.state == wanted)).count()
    };
    let parts: Vec<String> = [State::Act, State::Watch, State::Good, State::Unclassed]
        .into_iter()
        .filter(|wanted| count(*wanted) > 0)
        .map(|wanted| format!("{} {}", count(wanted), state(wanted)))
        .collect();
    let rest = input.sites.len().saturating_sub(drawn);
    let rest =
        if rest > 0 { format!(" The worst {drawn} are drawn, {rest} more are not.") } else { String::new() };
    format!("{} sites, in their last season: {}.{rest}", input.sites.len(), parts.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::samples;

    #[test]
    fn a_panel_is_told_in_one_sentence_with_every_break_and_the_crossing() {
        let told = panel(&samples::phosphorus_falling());
        for part in
            ["Phosphorus (P) by Mehlich 3", "falling by", "Trend meets 26 mg/kg in 2028 (2027 to 2030)"]
        {
            assert!(told.contains(part), "{told}");
        }
        let told = panel(&samples::method_change());
        assert!(told.contains("method changes in 2021 to Mehlich 3, not comparable"), "{told}");
    }

    #[test]
    fn heads_begin_with_a_capital_but_ph_stays_ph() {
        assert_eq!(head(Analyte::Ph), "pH");
        assert_eq!(head(Analyte::OrganicMatter), "Organic matter, %");
        assert_eq!(head(Analyte::Cec), "CEC, cmol/kg");
    }

    #[test]
    fn an_open_bound_of_a_crossing_is_said_as_open() {
        let open = Crossing { season: 2030, low: Some(2028), high: None };
        assert_eq!(
            crossing(&open, None, Analyte::Ph),
            "Trend meets the edge of sufficiency in 2030 (2028 or later)"
        );
    }
}
