//! P14 on a disk that forgets: the calls of one night are recorded, and at many places of them the power fails. A model
//! of the disk, stricter than any real one, says what is left: bytes last once their file was synced, names once their
//! folder was. What is left is laid out anew and the program started on it.

use super::{readings, sound};
use crate::world::{TABLE, World, has_tool};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// What the program may do to the disk; a call that changes files and is not among these ends the test.
const CALLS: &str = "openat,open,creat,write,pwrite64,ftruncate,rename,renameat,renameat2,link,linkat,unlink,unlinkat,\
    mkdir,mkdirat,rmdir,fsync,fdatasync,syncfs,sync,lseek,writev,pwritev,pwritev2,sendfile,copy_file_range,fallocate,truncate,\
    symlink,symlinkat,ioctl";

/// Most places tried of each recording; all with `LOAMLINE_POWER=all`.
const PLACES: usize = 16;

#[derive(Debug)]
enum Call {
    Open {
        path: String,
        empties: bool,
        appends: bool,
    },
    Folder(String),
    /// At a place, else where the last one ended.
    Write {
        path: String,
        at: Option<usize>,
        bytes: Vec<u8>,
    },
    Length {
        path: String,
        length: usize,
    },
    /// The next write goes there.
    Place {
        path: String,
        at: usize,
    },
    /// The next bytes of a file to the end of another one that is new.
    Copy {
        from: String,
        to: String,
        count: usize,
    },
    Rename {
        from: String,
        to: String,
    },
    Link {
        from: String,
        to: String,
    },
    Gone(String),
    Sync(String),
    SyncAll,
    /// Something was said to the person.
    Said(String),
}

/// What a call's text says: its words in quotes, the path of its first descriptor, and what it gave back.
struct Line {
    name: String,
    words: Vec<Vec<u8>>,
    of: Option<String>,
    arguments: String,
    gave: String,
}

fn hex(text: &str) -> Vec<u8> {
    let digits: Vec<u8> =
        text.split("\\x").skip(1).map(|h| u8::from_str_radix(&h[..2], 16).unwrap()).collect();
    assert_eq!(digits.len() * 4, text.len(), "not in hexadecimal: {text:.80}");
    digits
}

fn path_in(text: &str) -> Option<String> {
    let (_, rest) = text.split_once('<')?;
    String::from_utf8(hex(rest.split_once('>')?.0)).ok()
}

impl Line {
    fn of(text: &str) -> Option<Self> {
        let (name, rest) = text.split_once('(')?;
        let (arguments, gave) = rest.rsplit_once(" = ")?;
        let words = arguments.split('"').skip(1).step_by(2).map(hex).collect();
        let first = arguments.split(", ").next().unwrap_or_default();
        Some(Self {
            name: name.to_owned(),
            words,
            of: path_in(first),
            arguments: arguments.trim_end().trim_end_matches(')').to_owned(),
            gave: gave.to_owned(),
        })
    }

    fn word(&self, nth: usize) -> String {
        let word = String::from_utf8(self.words[nth].clone()).unwrap();
        assert!(word.starts_with('/'), "a path of its own folder: {word}");
        word
    }

    fn number(&self) -> usize {
        self.arguments.rsplit(", ").next().unwrap().parse().unwrap()
    }

    fn call(&self, below: &str) -> Option<Call> {
        if self.gave.starts_with('-') || self.gave.starts_with('?') {
            return None;
        }
        let ours = |path: &str| path == below || path.starts_with(&format!("{below}/"));
        let call = match self.name.as_str() {
            "openat" | "open" | "creat" if !self.arguments.contains("O_CREAT") => return None,
            "openat" | "open" => Call::Open {
                path: path_in(&self.gave)?,
                empties: self.arguments.contains("O_TRUNC"),
                appends: self.arguments.contains("O_APPEND"),
            },
            "mkdir" | "mkdirat" => Call::Folder(self.word(0)),
            "write" => {
                let (path, bytes) = (self.of.clone()?, self.words.first().cloned().unwrap_or_default());
                if !ours(&path) {
                    let to_a_person = self.arguments.starts_with("1<") || self.arguments.starts_with("2<");
                    return to_a_person.then(|| Call::Said(String::from_utf8_lossy(&bytes).into_owned()));
                }
                Call::Write { path, at: None, bytes }
            }
            "pwrite64" => {
                let bytes = self.words.first().cloned().unwrap_or_default();
                Call::Write { path: self.of.clone()?, at: Some(self.number()), bytes }
            }
            "ftruncate" => Call::Length { path: self.of.clone()?, length: self.number() },
            "lseek" => Call::Place { path: self.of.clone()?, at: self.gave.parse().unwrap() },
            "rename" | "renameat" | "renameat2" => Call::Rename { from: self.word(0), to: self.word(1) },
            "link" | "linkat" => Call::Link { from: self.word(0), to: self.word(1) },
            "unlink" | "unlinkat" | "rmdir" => Call::Gone(self.word(0)),
            "fsync" | "fdatasync" => Call::Sync(self.of.clone()?),
            "syncfs" | "sync" => return Some(Call::SyncAll),
            // Terminals are asked by it whether they are.
            "ioctl" => return None,
            "copy_file_range" => {
                let to = path_in(self.arguments.split(", ").nth(2)?)?;
                Call::Copy { from: self.of.clone()?, to, count: self.gave.parse().unwrap() }
            }
            other => {
                assert!(!self.of.as_deref().is_some_and(ours), "the model lacks {other}: {}", self.arguments);
                return None;
            }
        };
        let path = match &call {
            Call::Open { path, .. } | Call::Write { path, .. } | Call::Length { path, .. } => path,
            Call::Place { path, .. } => path,
            Call::Copy { to: path, .. } | Call::Rename { to: path, .. } | Call::Link { to: path, .. } => path,
            Call::Folder(path) | Call::Gone(path) | Call::Sync(path) | Call::Said(path) => path,
            Call::SyncAll => return Some(call),
        };
        ours(path).then_some(call)
    }
}

/// The calls of a recording, each where it came to its end.
fn calls(log: &str, below: &str) -> Vec<Call> {
    let mut begun: BTreeMap<&str, &str> = BTreeMap::new();
    let mut calls = Vec::new();
    let program = log.split(' ').next();
    for line in log.lines() {
        let Some((process, text)) = line.split_once(' ') else { continue };
        let text = text.trim_start();
        let whole = if let Some((head, _)) = text.split_once(" <unfinished ...>") {
            begun.insert(process, head);
            continue;
        } else if let Some((_, tail)) = text.strip_prefix("<... ").and_then(|t| t.split_once(" resumed>")) {
            format!("{}{tail}", begun.remove(process).unwrap_or_default())
        } else {
            text.to_owned()
        };
        let call = Line::of(&whole).and_then(|line| line.call(below));
        // The reading processes speak to the program, not to a person.
        calls.extend(call.filter(|call| Some(process) == program || !matches!(call, Call::Said(_))));
    }
    calls
}

type Id = usize;

#[derive(Debug, Clone)]
enum Node {
    File { now: Vec<u8>, kept: Vec<u8> },
    Folder { now: BTreeMap<String, Id>, kept: BTreeMap<String, Id> },
}

/// How much of what was not synced is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Left {
    Nothing,
    /// As on a disk that writes names before bytes.
    Names,
    Bytes,
    /// Each name and each file by the throw of a coin.
    Some(u64),
    /// As after a kill.
    All,
}

impl Left {
    fn names(self, at: usize) -> bool {
        matches!(self, Self::Names | Self::All) || self.coin(at, 1)
    }

    fn bytes(self, at: usize) -> bool {
        matches!(self, Self::Bytes | Self::All) || self.coin(at, 2)
    }

    fn coin(self, at: usize, side: u64) -> bool {
        let Self::Some(seed) = self else { return false };
        let mixed = (seed.wrapping_mul(31).wrapping_add(at as u64)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        mixed.rotate_left(17).wrapping_mul(0xbf58_476d_1ce4_e5b9) >> (60 + side) & 1 == 1
    }
}

/// What lies where, none for a folder.
type Tree = BTreeMap<PathBuf, Option<Vec<u8>>>;

struct Disk {
    root: String,
    nodes: Vec<Node>,
    ends: BTreeMap<String, usize>,
}

impl Disk {
    /// Everything that lies below a folder, synced long ago.
    fn of(folder: &Path) -> Self {
        let root = folder.to_str().unwrap().to_owned();
        let mut disk = Self { root, nodes: Vec::new(), ends: BTreeMap::new() };
        disk.add(folder);
        disk
    }

    fn add(&mut self, path: &Path) -> Id {
        let id = self.nodes.len();
        if path.is_dir() {
            self.nodes.push(Node::Folder { now: BTreeMap::new(), kept: BTreeMap::new() });
            let mut names = BTreeMap::new();
            for entry in fs::read_dir(path).unwrap().map(|e| e.unwrap()) {
                names.insert(entry.file_name().into_string().unwrap(), self.add(&entry.path()));
            }
            self.nodes[id] = Node::Folder { now: names.clone(), kept: names };
        } else {
            let bytes = fs::read(path).unwrap();
            self.nodes.push(Node::File { now: bytes.clone(), kept: bytes });
        }
        id
    }

    fn names(&mut self, id: Id) -> &mut BTreeMap<String, Id> {
        match &mut self.nodes[id] {
            Node::Folder { now, .. } => now,
            Node::File { .. } => panic!("a file with files in it"),
        }
    }

    fn find(&mut self, path: &str) -> Option<Id> {
        let below = path.strip_prefix(&self.root).unwrap().to_owned();
        below
            .split('/')
            .filter(|name| !name.is_empty())
            .try_fold(0, |id, name| self.names(id).get(name).copied())
    }

    fn parent<'a>(&mut self, path: &'a str) -> (Id, &'a str) {
        let (folder, name) = path.rsplit_once('/').unwrap();
        (self.find(folder).unwrap_or_else(|| panic!("no folder for {path}")), name)
    }

    fn bytes(&mut self, path: &str) -> Option<&mut Vec<u8>> {
        // Deleted and still open: nobody finds it again.
        let id = self.find(path)?;
        match &mut self.nodes[id] {
            Node::File { now, .. } => Some(now),
            Node::Folder { .. } => panic!("bytes into the folder {path}"),
        }
    }

    fn take(&mut self, call: &Call) {
        match call {
            Call::Open { path, empties, appends } => {
                if self.find(path).is_none() {
                    let id = self.nodes.len();
                    self.nodes.push(Node::File { now: Vec::new(), kept: Vec::new() });
                    let (folder, name) = self.parent(path);
                    self.names(folder).insert(name.to_owned(), id);
                }
                let bytes = self.bytes(path).unwrap();
                if *empties {
                    bytes.clear();
                }
                let end = if *appends { bytes.len() } else { 0 };
                self.ends.insert(path.clone(), end);
            }
            Call::Folder(path) => {
                let id = self.nodes.len();
                self.nodes.push(Node::Folder { now: BTreeMap::new(), kept: BTreeMap::new() });
                let (folder, name) = self.parent(path);
                self.names(folder).insert(name.to_owned(), id);
            }
            Call::Write { path, at, bytes } => {
                let at = at.unwrap_or_else(|| self.ends.get(path).copied().unwrap_or(0));
                self.ends.insert(path.clone(), at + bytes.len());
                if let Some(file) = self.bytes(path) {
                    file.resize(file.len().max(at + bytes.len()), 0);
                    file[at..at + bytes.len()].copy_from_slice(bytes);
                }
            }
            Call::Length { path, length } => {
                if let Some(file) = self.bytes(path) {
                    file.resize(*length, 0);
                }
            }
            Call::Place { path, at } => drop(self.ends.insert(path.clone(), *at)),
            Call::Copy { from, to, count } => {
                let at = self.ends.get(to).copied().unwrap_or(0);
                let bytes = self.bytes(from).unwrap()[at..at + count].to_vec();
                self.take(&Call::Write { path: to.clone(), at: Some(at), bytes });
            }
            Call::Rename { from, to } => {
                let (folder, name) = self.parent(from);
                let id = self.names(folder).remove(name).unwrap();
                let (folder, name) = self.parent(to);
                self.names(folder).insert(name.to_owned(), id);
            }
            Call::Link { from, to } => {
                let id = self.find(from).unwrap();
                let (folder, name) = self.parent(to);
                self.names(folder).insert(name.to_owned(), id);
            }
            Call::Gone(path) => {
                let (folder, name) = self.parent(path);
                self.names(folder).remove(name);
            }
            Call::Sync(path) => {
                if let Some(id) = self.find(path) {
                    self.nodes[id].sync();
                }
            }
            Call::SyncAll => self.nodes.iter_mut().for_each(Node::sync),
            Call::Said(_) => {}
        }
    }

    /// What lies there when the power is back.
    fn after(&self, left: Left) -> Tree {
        let mut tree = Tree::new();
        let mut todo = vec![(PathBuf::new(), 0)];
        while let Some((path, id)) = todo.pop() {
            match &self.nodes[id] {
                Node::File { now, kept } => {
                    let bytes = if left.bytes(id) { now } else { kept };
                    tree.insert(path, Some(bytes.clone()));
                }
                Node::Folder { now, kept } => {
                    let names: BTreeSet<&String> = now.keys().chain(kept.keys()).collect();
                    for (place, name) in names.into_iter().enumerate() {
                        let from = if left.names(id * 1_000 + place) { now } else { kept };
                        // Every start of the program makes this one anew.
                        if !name.ends_with("-shm") {
                            todo.extend(from.get(name).map(|id| (path.join(name), *id)));
                        }
                    }
                    tree.insert(path, None);
                }
            }
        }
        tree
    }
}

impl Node {
    fn sync(&mut self) {
        match self {
            Self::File { now, kept } => kept.clone_from(now),
            Self::Folder { now, kept } => kept.clone_from(now),
        }
    }
}

fn lay_out(tree: &Tree, at: &Path) {
    for (path, bytes) in tree {
        let path = at.join(path);
        match bytes {
            None => fs::create_dir_all(path).unwrap(),
            Some(bytes) => fs::write(path, bytes).unwrap(),
        }
    }
}

/// A home with reports that are filed, held and refused in its inbox.
fn dropped(w: &World) {
    w.settings("[watch]\nsettle_seconds = 0.05\nkeep_free_mib = 0\n");
    w.drop_in("new.csv", TABLE.replace("R-100", "R-101").replace("2024", "2023"));
    w.drop_in("who.csv", super::unassigned());
    w.drop_in("no.txt", "good day");
}

/// The places of a night at which the power fails, each with what is left of the disk and whether all was told by then.
fn places(w: &World) -> Vec<(String, Tree, bool)> {
    let folder = w.home().parent().unwrap().canonicalize().unwrap();
    let mut disk = Disk::of(&folder);
    let log = std::env::temp_dir().join(format!("loamline-calls-{}", folder.file_name().unwrap().display()));
    let trace = format!("trace={CALLS}");
    let by = ["strace", "-f", "-y", "-xx", "-s", "99999999", "-qq", "-e", "signal=none", "-e", &trace];
    let said = w.run_by(&[&by[..], &["-o", log.to_str().unwrap()]].concat(), &["nightly"]);
    assert_eq!(said.code, Some(3), "{}{}", said.out, said.err);
    let text = fs::read_to_string(&log).unwrap();
    fs::remove_file(log).unwrap();
    let calls = calls(&text, folder.to_str().unwrap());
    let mut seen = BTreeSet::new();
    let (mut places, mut told) = (Vec::new(), false);
    for (nth, call) in calls.iter().enumerate() {
        disk.take(call);
        told |= matches!(call, Call::Said(text) if text.contains("no.txt"));
        let next_syncs =
            matches!(calls.get(nth + 1), None | Some(Call::Sync(_) | Call::SyncAll | Call::Said(_)));
        let lefts = [Left::Nothing, Left::Names, Left::Bytes, Left::Some(nth as u64), Left::All];
        // What is left over of everything that was not synced is most just before it is.
        for left in lefts.into_iter().filter(|left| next_syncs || *left == Left::Nothing) {
            let tree = disk.after(left);
            if seen.insert((tree.clone(), told)) {
                places.push((format!("{left:?} after {nth}, {call:.120?}"), tree, told));
            }
        }
    }
    // The model must end where the disk did.
    let mut there = Disk::of(&folder).after(Left::All);
    there.retain(|path, _| !path.starts_with("given"));
    let mut model = disk.after(Left::All);
    model.retain(|path, _| !path.starts_with("given"));
    assert!(there.keys().eq(model.keys()), "{:?}\n{:?}", there.keys(), model.keys());
    let other: Vec<_> =
        there.iter().filter(|(path, bytes)| model[*path] != **bytes).map(|(p, _)| p).collect();
    assert!(other.is_empty(), "the model has other bytes in {other:?}");
    places
}

fn holds_after_power_is_back(begin: impl Fn(&World)) {
    if !has_tool("strace") {
        return;
    }
    let wanted = {
        let w = World::new();
        begin(&w);
        dropped(&w);
        w.run(&["nightly"]);
        (readings(&w), w.export("documents").len())
    };
    let w = World::new();
    begin(&w);
    dropped(&w);
    let mut places = places(&w);
    assert!(places.len() > 50, "{}", places.len());
    assert!(places.iter().any(|(_, _, told)| *told), "nothing was told");
    let all = places.len();
    if std::env::var("LOAMLINE_POWER").is_err() {
        let mut nth = 0..;
        places.retain(|_| nth.next().is_some_and(|n| n * PLACES / all != (n + 1) * PLACES / all));
    }
    for (what, tree, told) in &places {
        let w = World::new();
        lay_out(tree, w.home().parent().unwrap());
        if *told {
            // What was reported does not need its inbox file any more.
            for name in w.files("inbox") {
                fs::remove_file(w.home().join("inbox").join(name)).unwrap();
            }
        }
        let said = w.run(&["nightly"]);
        assert!(matches!(said.code, Some(0 | 3)), "{what}: {}{}", said.out, said.err);
        assert!(w.files("inbox").is_empty(), "{what}: {:?}", w.files("inbox"));
        assert_eq!(w.export("documents").len(), wanted.1, "{what}");
        assert_eq!(readings(&w), wanted.0, "{what}");
        sound(&w);
    }
}

#[test]
fn p14_a_first_night_outlives_a_power_cut_at_any_place() {
    holds_after_power_is_back(|_| {});
}

#[test]
fn p14_a_night_of_a_home_in_use_outlives_a_power_cut_at_any_place() {
    holds_after_power_is_back(|w| {
        w.settings("[watch]\nsettle_seconds = 0.05\nkeep_free_mib = 0\n");
        w.drop_in("old.csv", TABLE);
        assert_eq!(w.run(&["nightly"]).code, Some(0));
    });
}
