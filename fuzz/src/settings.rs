//! Files that the keeper writes, and messages of the reading process.

use loamline::cli::roster;
use loamline::config::Settings;
use loamline::plan::product;
use loamline::reader::frame;

/// Settings are taken with sane bounds, or refused on one line that names its place.
pub fn settings(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    match Settings::parse(&text, "loamline.toml") {
        Ok(settings) => {
            let _ = settings.limits();
            assert!(settings.watch.settle().as_secs() <= 3600);
        }
        Err(wrong) => one_line(&wrong.to_string(), "loamline.toml:"),
    }
}

/// Products carry finite shares that are parts of a whole, or the line that does not is named.
pub fn products(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    for read in [product::from_toml(&text, "products"), product::from_csv(&text, "products")] {
        match read {
            Ok(products) => {
                for product in products {
                    let shares = product.percent.iter().map(|(_, share)| share);
                    assert!(shares.into_iter().all(|s| s.is_finite() && s >= 0.0), "{product:?}");
                    assert!((0.0..=1.0).contains(&product.slow_share), "{product:?}");
                    let amounts = [
                        product.density_lb_per_gal,
                        product.max_single_lb_per_1000_ft2,
                        product.package,
                        product.price,
                    ];
                    assert!(amounts.into_iter().flatten().all(|a| a.is_finite() && a >= 0.0), "{product:?}");
                }
            }
            Err(wrong) => one_line(&wrong.to_string(), "products:"),
        }
    }
}

fn one_line(sentence: &str, begins: &str) {
    assert!(sentence.starts_with(begins), "{sentence:?}");
    assert!(!sentence.contains('\n'), "{sentence:?}");
}

/// A roster is rows with finite areas and depths, or sentences.
pub fn roster(data: &[u8]) {
    match roster::roster(data) {
        Ok(roster) => {
            for row in roster.rows {
                assert!(row.area_ft2.is_none_or(|a| a.is_finite() && a >= 0.0), "{row:?}");
                let sound = |d: loamline::soil::Depth| {
                    d.top_cm.is_finite() && d.bottom_cm.is_finite() && d.top_cm <= d.bottom_cm
                };
                assert!(row.depth.is_none_or(sound), "{row:?}");
            }
        }
        Err(faults) => assert!(!faults.is_empty()),
    }
}

/// A message is whole or an error, whatever length it claims; what was read and written again is the same.
pub fn frames(data: &[u8]) {
    let answer = frame::read::<frame::Answer>(&mut &*data);
    if let Ok(Some(frame::Answer::Done(done))) = &answer {
        let mut written = Vec::new();
        frame::write(&mut written, &done).expect("a message can be written");
        let again = frame::read::<loamline::reader::ReadDocument>(&mut written.as_slice());
        assert!(matches!(again, Ok(Some(_))), "{again:?}");
    }
    let _ = frame::read_request(&mut &*data);
}
