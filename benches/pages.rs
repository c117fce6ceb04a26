//! The list of sites and a site's page over the loopback, while the same service reads reports that keep coming.

use crate::maker::{paper, scale, store};
use crate::program::{Place, Running, write};
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

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

    fn get(&self, path: &str) -> Vec<u8> {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        let host = &self.address;
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").unwrap();
        let mut page = Vec::new();
        stream.read_to_end(&mut page).unwrap();
        assert!(
            page.starts_with(b"HTTP/1.1 200"),
            "{path}: {}",
            String::from_utf8_lossy(&page[..page.len().min(200)])
        );
        page
    }
}

fn under_a_writer(bencher: divan::Bencher<'_, '_>, path: &str) {
    let place = Place::new();
    place.run(&["sites"]);
    drop(store::fill(&place.home().join("loamline.db"), scale::sites(), scale::seasons()));
    place.settings("[watch]\nsettle_seconds = 0.05\n");
    let service = Service::start(&place);
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for season in scale::seasons().. {
                for one in paper::papers(0..200, season, 20) {
                    if done.load(Ordering::Relaxed) {
                        return;
                    }
                    write(&place.home().join("inbox"), &[one]);
                    std::thread::sleep(Duration::from_millis(20));
                }
            }
        });
        service.get(path);
        bencher.bench_local(|| service.get(path));
        done.store(true, Ordering::Relaxed);
    });
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn sites(bencher: divan::Bencher<'_, '_>) {
    under_a_writer(bencher, "/");
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn one_site(bencher: divan::Bencher<'_, '_>) {
    under_a_writer(bencher, &format!("/sites/{}", store::id(3)));
}
