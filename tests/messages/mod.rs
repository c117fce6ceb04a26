//! Messages and pick-up against small servers on this machine: told once, at least once, and never to the wrong place.

mod authority;
mod mail;
mod pick_up;
mod stub;
mod tls;
mod webhook;

use super::world::World;

/// Nothing waits longer than a test should.
const QUICK: &str = "[watch]\nsettle_seconds = 0.05\n[digest]\npause_seconds = 0.01\nretry_seconds = 0\n";

/// A world whose settings end with these.
fn world(settings: &str) -> World {
    let w = World::new();
    w.settings(&format!("{QUICK}{settings}"));
    w
}
