//! How long people wait for a page over the loopback, while the same service reads reports that keep coming: median, the
//! twentieth slowest of a hundred (p95) and the slowest of each page.

use crate::maker::{paper, scale, store};
use crate::program::{Place, Running, write};
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Products, so that a season has something to load.
const PRODUCTS: &str = "[[product]]\nname = \"Lawn 24-0-6\"\nanalysis = \"24-0-6\"\nslow_share = 0.5\npackage_lb = 50\nprice = 38\n\n[[product]]\nname = \"Potash 0-0-50\"\nanalysis = \"0-0-50\"\npackage_lb = 50\nprice = 45\n";

struct Service {
    _running: Running,
    address: String,
}

impl Service {
    fn start(place: &Place) -> Self {
        let free = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
        let address = free.to_string();
        let running = Running(place.command(&["serve", "--listen", &address]).spawn().unwrap());
        let until = Instant::now() + Duration::from_secs(60);
        while TcpStream::connect(&address).is_err() {
            assert!(Instant::now() < until, "the service does not come up");
            std::thread::sleep(Duration::from_millis(20));
        }
        Self { _running: running, address }
    }

    fn get(&self, path: &str) -> String {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        let host = &self.address;
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").unwrap();
        let mut page = Vec::new();
        stream.read_to_end(&mut page).unwrap();
        let page = String::from_utf8_lossy(&page).into_owned();
        assert!(page.starts_with("HTTP/1.1 200"), "{path}: {}", page.chars().take(200).collect::<String>());
        page
    }

    /// How long until the pages know every site, from the start of the service.
    fn settle(&self, path: &str) -> Duration {
        let begun = Instant::now();
        while self.get(path).contains("class=\"behind\"") {
            std::thread::sleep(Duration::from_millis(50));
        }
        begun.elapsed()
    }
}

/// Asks every page so often and prints what it took. `store`: a history to take a copy of, else one is made.
pub fn measure(times: usize, store: Option<&Path>) {
    let place = Place::new();
    place.run(&["sites"]);
    let history = place.home().join("loamline.db");
    match store {
        Some(store) => drop(std::fs::copy(store, &history).unwrap()),
        None => drop(store::fill_with_waiting(&history, scale::sites(), scale::seasons())),
    }
    place.settings("[watch]\nsettle_seconds = 0.05\n");
    std::fs::write(place.home().join("products.toml"), PRODUCTS).unwrap();
    let service = Service::start(&place);
    say(&format!("list of sites worked out after {:.1} s", service.settle("/").as_secs_f64()));
    say(&format!("season worked out {:.1} s later", service.settle("/season").as_secs_f64()));
    let site = format!("/sites/{}", store::id(3));
    let plan = format!("{site}/plan");
    let pages = [
        ("list of sites", "/"),
        ("list, searched", "/?q=rowan"),
        ("site", &site),
        ("plan of a site", &plan),
        ("waiting", "/held"),
        ("waiting, last page", "/held?page=9999"),
        ("documents", "/documents"),
        ("documents, searched", "/documents?q=S03-0000"),
        ("documents held", "/documents?outcome=held"),
        ("documents, last page", "/documents?page=99999"),
        ("season", "/season"),
        ("season, last page", "/season?page=9999"),
        ("guides", "/guides"),
        ("readings (JSON)", "/api/v1/readings"),
        ("trends (JSON)", "/api/v1/trends"),
        ("flags (JSON)", "/api/v1/flags"),
        ("sites (JSON)", "/api/v1/sites"),
        ("documents (JSON)", "/api/v1/documents"),
    ];
    say(&format!(
        "{:<24}{:>10}{:>10}{:>10}  ms, {times} times, under a writer",
        "page", "median", "p95", "slowest"
    ));
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| keep_writing(&place, &done));
        for (name, path) in pages {
            let mut took: Vec<f64> = (0..times)
                .map(|_| {
                    let begun = Instant::now();
                    service.get(path);
                    begun.elapsed().as_secs_f64() * 1e3
                })
                .collect();
            took.sort_by(f64::total_cmp);
            let at =
                |share: f64| took[((took.len() as f64 * share).ceil() as usize).clamp(1, took.len()) - 1];
            say(&format!("{name:<24}{:>10.1}{:>10.1}{:>10.1}", at(0.5), at(0.95), at(1.0)));
        }
        done.store(true, Ordering::Relaxed);
    });
    say(&format!(
        "season without anything outstanding {:.1} s after the last report",
        service.settle("/season").as_secs_f64()
    ));
}

/// Reports of sites that are there, one after the other, until it is done.
fn keep_writing(place: &Place, done: &AtomicBool) {
    for season in scale::seasons().. {
        for one in paper::papers(0..scale::sites(), season, 20) {
            if done.load(Ordering::Relaxed) {
                return;
            }
            write(&place.home().join("inbox"), &[one]);
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

#[allow(clippy::print_stdout, reason = "what a measurement is for")]
fn say(line: &str) {
    println!("{line}");
}
