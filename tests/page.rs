//! The pages from outside: who gets in, what a request may be, and that what is shown is the history.

use super::world::{Running, TABLE, World, eventually};
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// A running service and a caller of it.
pub struct Pages {
    pub running: Running,
    pub port: u16,
}

/// What came back.
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        let wanted = format!("{}:", name.to_lowercase());
        self.head.lines().find(|l| l.to_lowercase().starts_with(&wanted)).map(|l| l[wanted.len()..].trim())
    }

    /// The token in the first form.
    pub fn token(&self) -> String {
        let text = self.text();
        let (_, rest) = text.split_once("name=\"token\" value=\"").expect("a form with a token");
        rest.split('"').next().unwrap().to_owned()
    }
}

/// A port that is free just now.
fn free_port() -> u16 {
    std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

impl Pages {
    pub fn of(world: &World) -> Self {
        Self::with(world, &[])
    }

    /// On another day than today.
    pub fn on(world: &World, day: &str) -> Self {
        Self::with(world, &["--as-of", day])
    }

    fn with(world: &World, words: &[&str]) -> Self {
        let port = free_port();
        let address = format!("127.0.0.1:{port}");
        let running = world.start(&[words, &["serve", "--listen", &address]].concat());
        eventually("the pages are there", || TcpStream::connect(("127.0.0.1", port)).is_ok());
        Self { running, port }
    }

    /// Sends bytes as they are and reads until the other side ends.
    pub fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        // The other side may answer and close before all is sent.
        let _ = stream.write_all(request);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|w| w == b"\r\n\r\n").unwrap_or(all.len());
        let head = String::from_utf8_lossy(&all[..end]).into_owned();
        let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        let mut body = all.get(end + 4..).unwrap_or_default().to_vec();
        if head.to_lowercase().contains("transfer-encoding: chunked") {
            body = unchunked(&body);
        }
        Answer { status, head, body }
    }

    pub fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut request = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        if !headers.iter().any(|(n, _)| n.eq_ignore_ascii_case("host")) {
            request.push_str(&format!("Host: 127.0.0.1:{}\r\n", self.port));
        }
        for (name, value) in headers {
            request.push_str(&format!("{name}: {value}\r\n"));
        }
        if method == "POST" {
            request.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        request.push_str("\r\n");
        self.raw(&[request.as_bytes(), body].concat())
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, &[], b"")
    }

    /// The list of sites once everything is worked in.
    pub fn list(&self) -> Answer {
        eventually("every site is worked in", || !self.get("/").text().contains("being worked in"));
        self.get("/")
    }

    /// A form as our own page sends it.
    pub fn send(&self, path: &str, fields: &str, more: &[(&str, &str)]) -> Answer {
        let origin = format!("http://127.0.0.1:{}", self.port);
        let mut headers =
            vec![("Origin", origin.as_str()), ("Content-Type", "application/x-www-form-urlencoded")];
        headers.extend(more);
        self.ask("POST", path, &headers, fields.as_bytes())
    }
}

fn unchunked(body: &[u8]) -> Vec<u8> {
    let (mut out, mut rest) = (Vec::new(), body);
    while let Some(end) = rest.windows(2).position(|w| w == b"\r\n") {
        let size = usize::from_str_radix(String::from_utf8_lossy(&rest[..end]).trim(), 16).unwrap_or(0);
        if size == 0 || rest.len() < end + 2 + size {
            break;
        }
        out.extend_from_slice(&rest[end + 2..end + 2 + size]);
        rest = rest.get(end + 4 + size..).unwrap_or_default();
    }
    out
}

/// A world with the sample table in its history.
pub fn with_readings() -> World {
    let world = World::new();
    world.settings("[watch]\nsettle_seconds = 0.3\n[guides]\ndefault_use = \"lawn\"\n");
    let path = world.give("a.csv", TABLE);
    assert_eq!(world.ingest(&path).code, Some(0));
    world
}

#[test]
fn the_list_and_a_site_show_what_the_history_holds_and_a_stop_is_clean() {
    let world = with_readings();
    let pages = Pages::of(&world);
    let list = pages.list();
    assert_eq!(list.status, 200, "{}", list.text());
    for site in world.export("sites") {
        assert!(list.text().contains(site["name"].as_str().unwrap()));
    }
    let id = world.export("sites")[0]["site"].as_str().unwrap().to_owned();
    let site = pages.get(&format!("/sites/{id}"));
    assert_eq!(site.status, 200);
    for flag in world.export("flags").iter().filter(|f| f["site"] == id.as_str()) {
        let kind = flag["flag"].as_str().unwrap();
        assert!(site.text().contains(kind), "{kind}");
    }
    let chart = pages.get(&format!("/sites/{id}/chart/main.svg"));
    assert_eq!((chart.status, chart.header("content-type")), (200, Some("image/svg+xml")));
    assert!(chart.header("content-security-policy").unwrap().contains("sandbox"));
    let begun = Instant::now();
    assert_eq!(pages.running.stop(), Some(0));
    assert!(begun.elapsed() < Duration::from_secs(10));
}

#[test]
fn p32_another_address_needs_a_password_first() {
    let world = World::new();
    let said = world.run(&["serve", "--listen", "0.0.0.0:0"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("password"), "{}", said.err);
}

#[test]
fn p33_one_host_of_our_own_and_no_other() {
    let world = World::new();
    let pages = Pages::of(&world);
    let own = format!("localhost:{}", pages.port);
    assert_eq!(pages.ask("GET", "/", &[("Host", &own)], b"").status, 200);
    for host in ["evil.example", "", "127.0.0.1.evil.example", "127.0.0.1"] {
        assert_eq!(pages.ask("GET", "/", &[("Host", host)], b"").status, 421, "{host:?}");
    }
    let twice = format!("GET / HTTP/1.1\r\nHost: {own}\r\nHost: evil.example\r\nConnection: close\r\n\r\n");
    assert_eq!(pages.raw(twice.as_bytes()).status, 421);
    assert_eq!(pages.raw(b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n").status, 421);
}

/// A form with one file.
pub fn upload(token: &str, name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut body = format!(
        "--cut\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n{token}\r\n\
         --cut\r\nContent-Disposition: form-data; name=\"files\"; filename=\"{name}\"\r\n\r\n"
    )
    .into_bytes();
    body.extend_from_slice(bytes);
    body.extend_from_slice(b"\r\n--cut--\r\n");
    body
}

#[test]
fn p34_a_change_needs_a_place_of_our_own_and_a_token() {
    let world = World::new();
    world.settings("[watch]\nsettle_seconds = 60\n");
    let pages = Pages::of(&world);
    let token = pages.get("/").token();
    let origin = format!("http://127.0.0.1:{}", pages.port);
    let kind = ("Content-Type", "multipart/form-data; boundary=cut");
    let post = |headers: &[(&str, &str)], token: &str| {
        pages.ask("POST", "/drop", &[headers, &[kind]].concat(), &upload(token, "a.csv", b"x")).status
    };
    assert_eq!(post(&[("Origin", "http://evil.example")], &token), 403);
    assert_eq!(post(&[("Origin", "null")], &token), 403);
    assert_eq!(post(&[], &token), 403);
    assert_eq!(post(&[("Origin", &origin), ("Sec-Fetch-Site", "cross-site")], &token), 403);
    assert_eq!(post(&[("Origin", &origin)], "guess"), 403);
    assert!(world.files("inbox").is_empty());
    assert_eq!(post(&[("Origin", &origin)], &token), 303);
    assert_eq!(world.files("inbox"), ["a.csv"]);
    assert_eq!(pages.get(&format!("/drop?token={token}")).status, 405, "a GET changes nothing");
    assert_eq!(post(&[("Origin", &origin)], &token), 303);
    assert_eq!(world.files("inbox"), ["a (2).csv", "a.csv"], "a name used before replaces nothing");
}

#[test]
fn p35_what_a_document_says_is_only_ever_text() {
    let world = World::new();
    let label = "<script>alert(1)</script>\"\"><img src=x>";
    let path = world.give("a.csv", TABLE.replace("Front lawn", &format!("\"{label}\"")));
    world.ingest(&path);
    let pages = Pages::of(&world);
    let list = pages.list();
    assert!(
        list.text().contains("&#60;script&#62;") || list.text().contains("&lt;script&gt;"),
        "{}",
        list.text()
    );
    for sites in world.export("sites") {
        let page = pages.get(&format!("/sites/{}", sites["site"].as_str().unwrap()));
        assert_eq!(page.status, 200);
        assert!(!page.text().contains("<script>") && !page.text().contains("<img src=x"));
        let policy = page.header("content-security-policy").unwrap();
        for part in ["default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"]
        {
            assert!(policy.contains(part), "{policy}");
        }
        assert!(!policy.contains("unsafe"));
        assert_eq!(page.header("x-content-type-options"), Some("nosniff"));
    }
}

#[test]
fn p37_heads_addresses_and_bodies_are_bounded() {
    let world = World::new();
    let pages = Pages::of(&world);
    let host = format!("Host: 127.0.0.1:{}\r\nConnection: close\r\n", pages.port);
    let long = format!("GET /{} HTTP/1.1\r\n{host}\r\n", "a".repeat(5000));
    assert_eq!(pages.raw(long.as_bytes()).status, 414);
    let head = format!("GET / HTTP/1.1\r\n{host}X-A: {}\r\n\r\n", "a".repeat(40 << 10));
    assert_eq!(pages.raw(head.as_bytes()).status, 431);
    let token = pages.get("/").token();
    let large = format!("token={token}&a={}", "a".repeat(70 << 10));
    assert_eq!(pages.send("/logout", &large, &[]).status, 413);
    let (megabyte, cut) = ("a".repeat(1 << 20), "multipart/form-data; boundary=cut");
    let form = format!("token={token}&a={megabyte}");
    assert_eq!(pages.send("/drop", &form, &[]).status, 413, "a form without files is held in memory whole");
    let origin = format!("http://127.0.0.1:{}", pages.port);
    let headers = [("Origin", origin.as_str()), ("Content-Type", cut)];
    let named =
        format!("--cut\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n{megabyte}\r\n--cut--\r\n");
    let endless = format!("--cut\r\nContent-Disposition: form-data; name=\"{megabyte}");
    for (what, form) in [("a token", named), ("a head of a part", endless)] {
        assert_eq!(pages.ask("POST", "/drop", &headers, form.as_bytes()).status, 413, "{what}");
    }
    let file = pages.ask("POST", "/drop", &headers, &upload(&token, "a.csv", megabyte.as_bytes()));
    assert_eq!(file.status, 303, "a file is streamed: {}", file.text());
    let claimed = format!("POST /drop HTTP/1.1\r\n{host}Content-Length: 1000000000000000\r\n\r\nx");
    assert_eq!(pages.raw(claimed.as_bytes()).status, 413);
}

#[test]
fn p37_a_head_that_does_not_come_is_given_up() {
    let world = World::new();
    let pages = Pages::of(&world);
    for sent in ["GET / HTTP/1.1\r\nX-", ""] {
        let begun = Instant::now();
        pages.raw(sent.as_bytes());
        let took = begun.elapsed();
        assert!((9..13).contains(&took.as_secs()), "{sent:?}: {took:?}");
    }
}

#[test]
fn p38_an_error_page_says_what_to_do_and_nothing_of_the_inside() {
    let world = World::new();
    let pages = Pages::of(&world);
    let own = world.home().to_str().unwrap().to_owned();
    for (method, path, status) in [
        ("GET", "/nowhere", 404),
        ("GET", "/sites/none", 404),
        ("GET", "/sites/%ff", 400),
        ("GET", "/sites/x/chart/main.exe", 404),
        ("GET", "/?page=x", 400),
        ("PUT", "/", 405),
        ("GET", "/drop", 405),
    ] {
        let answer = pages.ask(method, path, &[], b"");
        assert_eq!(answer.status, status, "{method} {path}");
        let text = answer.text();
        assert!(text.contains("<h1>") && text.contains("To the sites"), "{path}: {text}");
        for inside in [own.as_str(), ".rs:", "panicked", "Sqlite", "deserialize", "serde"] {
            assert!(!text.contains(inside), "{path} shows {inside}");
        }
    }
}

#[test]
fn with_a_password_a_stranger_sees_the_door_alone() {
    let world = with_readings();
    assert_eq!(world.run_with_input(&["password"], b"short\n").code, Some(1));
    assert_eq!(world.run_with_input(&["password"], b"four plain garden words\n").code, Some(0));
    let pages = Pages::of(&world);
    let sent_away = pages.get("/sites/x");
    assert_eq!((sent_away.status, sent_away.header("location")), (303, Some("/login?to=%2Fsites%2Fx")));
    assert_eq!(pages.get("/events").status, 401);
    let door = pages.get("/login");
    let token = door.token();
    let try_with =
        |word: &str| pages.send("/login", &format!("token={token}&password={word}&to=//evil"), &[]);
    let wrong = try_with("four+plain+garden+word");
    assert_eq!((wrong.status, wrong.header("set-cookie")), (200, None));
    let right = try_with("four+plain+garden+words");
    assert_eq!((right.status, right.header("location")), (303, Some("/")));
    let cookie = right.header("set-cookie").unwrap().to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let cookie = cookie.split(';').next().unwrap().to_owned();
    let inside = pages.ask("GET", "/", &[("Cookie", &cookie)], b"");
    assert_eq!(inside.status, 200);
    // A token of the door does not fit inside.
    assert_eq!(pages.send("/logout", &format!("token={token}"), &[("Cookie", &cookie)]).status, 403);
    let out = pages.send("/logout", &format!("token={}", inside.token()), &[("Cookie", &cookie)]);
    assert_eq!(out.status, 303);
    assert_eq!(pages.ask("GET", "/", &[("Cookie", &cookie)], b"").status, 303, "the session is over");
    for _ in 0..10 {
        try_with("x");
    }
    assert_eq!(try_with("four+plain+garden+words").status, 429);
}

#[test]
fn a_dropped_file_is_read_and_shows_in_the_list() {
    let world = World::new();
    world.settings("[watch]\nsettle_seconds = 0.3\n");
    let pages = Pages::of(&world);
    let token = pages.get("/").token();
    let origin = format!("http://127.0.0.1:{}", pages.port);
    let headers = [
        ("Origin", origin.as_str()),
        ("Content-Type", "multipart/form-data; boundary=cut"),
        ("Accept", "application/json"),
    ];
    let answer = pages.ask("POST", "/drop", &headers, &upload(&token, "../r.csv", TABLE.as_bytes()));
    assert_eq!((answer.status, answer.text().as_str()), (200, "{\"taken\":[\"r.csv\"]}"));
    eventually("the report is read and shown", || pages.get("/").text().contains("Front lawn"));
    eventually("the inbox is empty", || world.files("inbox").is_empty());
}

#[test]
fn a_page_that_listens_hears_how_far_a_batch_is_and_a_stop_ends_it() {
    let world = World::new();
    world.settings("[watch]\nsettle_seconds = 0.3\n");
    let pages = Pages::of(&world);
    let mut stream = TcpStream::connect(("127.0.0.1", pages.port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let request = format!("GET /events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", pages.port);
    stream.write_all(request.as_bytes()).unwrap();
    world.drop_in("a.csv", TABLE);
    let (mut heard, mut piece) = (String::new(), [0; 4096]);
    while !heard.contains("\"filed\":1") {
        let size = stream.read(&mut piece).unwrap();
        assert!(size > 0, "ended early: {heard}");
        heard.push_str(&String::from_utf8_lossy(&piece[..size]));
    }
    assert!(heard.contains("text/event-stream") && heard.contains("event: progress"), "{heard}");
    let begun = Instant::now();
    assert_eq!(pages.running.stop(), Some(0));
    assert!(begun.elapsed() < Duration::from_secs(8), "an open ear does not keep the service");
}

#[test]
fn p37_the_five_hundred_and_thirteenth_waits_at_the_door() {
    let world = World::new();
    let pages = Pages::of(&world);
    let seats: Vec<TcpStream> =
        (0..512).map(|_| TcpStream::connect(("127.0.0.1", pages.port)).unwrap()).collect();
    // The seats are taken one after the other; a head would be given up after ten seconds.
    std::thread::sleep(Duration::from_millis(1_500));
    let mut late = TcpStream::connect(("127.0.0.1", pages.port)).unwrap();
    let ask = format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\n\r\n", pages.port);
    late.write_all(ask.as_bytes()).unwrap();
    late.set_read_timeout(Some(Duration::from_millis(700))).unwrap();
    let mut answer = Vec::new();
    let waits = late.read_to_end(&mut answer);
    assert!(waits.is_err() && answer.is_empty(), "it was let in");
    drop(seats);
    late.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    late.read_to_end(&mut answer).unwrap();
    assert!(answer.starts_with(b"HTTP/1.1 200"), "{}", String::from_utf8_lossy(&answer));
}

#[test]
fn two_sites_that_are_perhaps_one_are_joined_or_parted_by_a_form() {
    let world = with_readings();
    let slip = TABLE.replace("Front lawn", "Frnt lawn").replace("Back lawn", "Front lawns");
    world.ingest(&world.give("slip.csv", slip.replace("2024", "2023").replace("R-100", "R-200")));
    let pages = Pages::of(&world);
    let held = pages.get("/held");
    assert_eq!(held.text().matches("Frnt lawn</a>").count(), 1, "{}", held.text());
    assert!(!held.text().contains("/sites/alike"), "nobody has said who decides");
    let named = ("Cookie", "loamline-who=Robin");
    let held = pages.ask("GET", "/held", &[named], b"");
    let token = held.token();
    let said = |fields: &str| pages.send("/sites/alike", &format!("token={token}&{fields}"), &[named]);
    let (front, frnt, fronts) =
        ("one=j-orchard-frnt-lawn", "other=j-orchard-front-lawn", "other=j-orchard-front-lawns");
    assert_eq!(said(&format!("{front}&{frnt}&what=perhaps")).status, 400);
    assert_eq!(said(&format!("{front}&{frnt}&what=second")).status, 303);
    let sites: Vec<_> = world.export("sites").iter().map(|s| s["site"].to_string()).collect();
    assert!(!sites.iter().any(|s| s.contains("frnt")), "{sites:?}");
    assert!(pages.get("/held").text().contains("Front lawns</a>"));
    assert_eq!(said(&format!("one=j-orchard-front-lawn&{fronts}&what=apart")).status, 303);
    assert!(pages.get("/held").text().contains("Nothing waits"));
}

#[test]
fn the_page_of_the_service_shows_how_it_does_and_its_last_words() {
    let world = with_readings();
    let pages = Pages::of(&world);
    world.drop_in("note.txt", "good <b>day</b>");
    eventually("the refusal is on the page", || {
        let page = pages.get("/service").text();
        page.contains("note.txt") && page.contains("tries=1") && page.contains("refused\">1</a>")
    });
    let page = pages.get("/service").text();
    assert!(page.contains("Well: The inbox was looked at") && page.contains("filed\">1</a>"), "{page}");
    let lines = page.split("<pre>").nth(1).unwrap();
    assert!(lines.find("note.txt").unwrap() < lines.find("watching").unwrap(), "{lines}");
}
