//! An assessment drawn: one scene, painted as SVG or PNG.
//!
//! [`input`] says what is drawn, [`four()`], [`others()`], [`single()`] and [`overview()`] turn it into a [`scene::Scene`], and
//! [`paint`] turns that into bytes. The same input gives the same bytes.

pub mod input;

mod font;

pub mod scene;

pub mod paint;

mod look;

mod axis;

mod words;

mod mark;

mod legend;

mod plotted;

mod panel;

pub mod four;

pub mod single;

pub mod overview;

pub mod from_assessment;

#[cfg(test)]
pub(crate) use from_assessment::rows;

pub mod site_row;

#[cfg(test)]
mod samples;

pub use four::{four, others};
pub use from_assessment::{chart_input, zones};
pub use input::{ChartInput, OverviewInput, SiteRow, Width};
pub use overview::overview;
pub use paint::{Easel, PaintError, png, svg};
pub use single::single;
pub use site_row::site_row;

#[cfg(test)]
mod tests {
    use super::*;

    /// Every drawing the tests look at, by name.
    fn all() -> Vec<(&'static str, scene::Scene)> {
        let lawn = samples::lawn();
        vec![
            ("four-wide", four(&lawn, Width::Wide)),
            ("four-narrow", four(&lawn, Width::Narrow)),
            ("others-wide", others(&samples::others(), Width::Wide).unwrap()),
            ("phosphorus-wide", single(&samples::of(samples::phosphorus_falling()), Width::Wide)),
            ("method-change-narrow", single(&samples::of(samples::method_change()), Width::Narrow)),
            ("method-change-wide", single(&samples::of(samples::method_change()), Width::Wide)),
            ("one-season-wide", single(&samples::of(samples::one_season()), Width::Wide)),
            ("all-below-wide", single(&samples::of(samples::all_below()), Width::Wide)),
            ("below-range-wide", single(&samples::of(samples::below_range()), Width::Wide)),
            ("calcium-narrow", single(&samples::of(samples::huge()), Width::Narrow)),
            ("long-names-wide", four(&samples::long_names(), Width::Wide)),
            ("long-names-narrow", four(&samples::long_names(), Width::Narrow)),
            ("overview-wide", overview(&samples::sites(12), Width::Wide)),
            ("overview-narrow", overview(&samples::sites(12), Width::Narrow)),
        ]
    }

    /// Drawn anew with `LOAMLINE_REDRAW=1`, after which someone must look at them.
    #[test]
    fn charts_are_drawn_as_kept_byte_for_byte() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("charts");
        for (name, scene) in all() {
            let drawn = svg(&scene).unwrap();
            let kept = folder.join(format!("{name}.svg"));
            if std::env::var_os("LOAMLINE_REDRAW").is_some() {
                std::fs::create_dir_all(&folder).unwrap();
                std::fs::write(&kept, &drawn).unwrap();
            }
            let expected = std::fs::read_to_string(&kept).unwrap_or_default();
            assert!(drawn == expected, "charts/{name}.svg is no longer what is drawn");
        }
    }

    #[test]
    fn the_same_input_gives_the_same_bytes() {
        let draw = || four(&samples::lawn(), Width::Wide);
        assert_eq!(svg(&draw()).unwrap(), svg(&draw()).unwrap());
        let small = || single(&samples::of(samples::one_season()), Width::Narrow);
        let alone = png(&small()).unwrap();
        assert_eq!(alone, png(&small()).unwrap());
        let mut easel = Easel::default();
        easel.png(&draw()).unwrap();
        assert!(alone == easel.png(&small()).unwrap(), "what was drawn before shows through");
    }

    #[test]
    fn a_png_has_two_pixels_a_unit_and_white_paper() {
        let scene = single(&samples::of(samples::method_change()), Width::Narrow);
        let picture = image::load_from_memory(&png(&scene).unwrap()).unwrap().to_rgb8();
        assert_eq!(picture.dimensions(), (720, (scene.height * 2.0) as u32));
        assert_eq!(picture.get_pixel(1, 1).0, [255, 255, 255]);
        assert!(picture.pixels().any(|p| p.0[0] < 80), "nothing is drawn");
    }

    #[test]
    fn names_are_escaped_and_the_whole_is_well_formed() {
        let drawn = svg(&four(&samples::long_names(), Width::Wide)).unwrap();
        assert!(!drawn.contains("<script"));
        let mut reader = quick_xml::Reader::from_str(&drawn);
        loop {
            match reader.read_event().unwrap() {
                quick_xml::events::Event::Eof => break,
                _ => continue,
            }
        }
        assert!(drawn.contains("viewBox=") && drawn.contains("<title>") && drawn.contains("role=\"img\""));
    }

    /// The first shape that leaves the paper, or a text too small to read.
    fn outside(scene: &scene::Scene) -> Option<&scene::Shape> {
        let inside =
            |(x, y): (f64, f64)| (0.0..=scene.width).contains(&x) && (0.0..=scene.height).contains(&y);
        scene.shapes.iter().find(|shape| !match shape {
            scene::Shape::Polyline { points, .. } | scene::Shape::Polygon { points, .. } => {
                points.iter().all(|at| inside(*at))
            }
            scene::Shape::Circle { center, .. } | scene::Shape::Ring { center, .. } => inside(*center),
            scene::Shape::Text(text) => {
                let wide = font::width(&text.words, text.em, text.bold);
                let left = match text.anchor {
                    scene::Anchor::Start => text.at.0,
                    scene::Anchor::Middle => text.at.0 - wide / 2.0,
                    scene::Anchor::End => text.at.0 - wide,
                };
                inside((left, text.at.1)) && inside((left + wide, text.at.1)) && text.em >= 11.0
            }
        })
    }

    #[test]
    fn nothing_stands_outside_the_paper() {
        for (name, scene) in all() {
            assert_eq!(outside(&scene), None, "{name}");
        }
    }

    proptest::proptest! {
        #![proptest_config(proptest::prelude::ProptestConfig::with_cases(48))]

        #[test]
        fn whatever_is_measured_stays_on_the_paper(
            values in proptest::collection::vec(0.0_f64..20_000.0, 1..14),
            scale in 0.00001_f64..1.0,
            gap in 1_i16..5,
            edge in 0.0_f64..30_000.0,
            slope in -500.0_f64..500.0,
            wide in proptest::bool::ANY,
        ) {
            let mut panel = samples::method_change();
            let mut points = samples::points(2000, &values, edge);
            for (place, point) in (0..).zip(&mut points) {
                point.season = 2000 + place * gap;
                point.value *= scale;
                point.noise = Some(point.value * 0.3);
            }
            let last = points.last().unwrap().season;
            let bounds = Some((slope - 20.0, slope + 20.0));
            let trend = Some(input::TrendLine { pivot: (f64::from(last), points[0].value), slope, bounds });
            panel.lines.push(input::Line { points, trend, ..input::Line::default() });
            panel.zone = panel.zone.map(|zone| input::Zone { from: edge * scale, to: Some(edge), ..zone });
            panel.crossing = Some(input::Crossing { season: i32::from(last) + 3, low: None, high: None });
            let width = if wide { Width::Wide } else { Width::Narrow };
            let scene = single(&samples::of(panel), width);
            proptest::prop_assert_eq!(outside(&scene), None);
            proptest::prop_assert!(svg(&scene).is_ok());
        }
    }

    #[test]
    fn no_line_crosses_a_change_of_method() {
        let panel = samples::method_change();
        let input = samples::of(panel);
        let scene = single(&input, Width::Wide);
        // The upright of the change: the only dashes in the alert colour that stand upright.
        let uprights: Vec<f64> = scene
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                scene::Shape::Polyline { points, color, .. } if *color == look::ALERT => {
                    match points.as_slice() {
                        [a, b] if a.0 == b.0 && (b.1 - a.1).abs() > 2.0 => Some(a.0),
                        _ => None,
                    }
                }
                _ => None,
            })
            .collect();
        let x = *uprights.first().unwrap();
        let joins = scene.shapes.iter().any(|shape| match shape {
            scene::Shape::Polyline { points, color, .. } => {
                let brown_or_blue = (0..2).any(|i| color.rgb == look::line_color(i).rgb);
                brown_or_blue && points.iter().any(|p| p.0 < x) && points.iter().any(|p| p.0 > x)
            }
            _ => false,
        });
        assert!(!joins);
    }

    #[test]
    fn an_input_without_anything_is_still_a_drawing() {
        let empty = ChartInput::default();
        assert!(svg(&single(&empty, Width::Wide)).is_ok());
        let drawn = svg(&four(&empty, Width::Narrow)).unwrap();
        assert_eq!(
            drawn.matches("no reading</text>").count() + drawn.matches("no reading\n</text>").count(),
            4
        );
        assert!(svg(&overview(&OverviewInput::default(), Width::Wide)).is_ok());
    }
}
