//! The home folder: its paths, made on first use, with one folder of its own for temporary files.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Why a home folder cannot be used; one sentence for a person each.
#[derive(Debug, thiserror::Error)]
pub enum HomeError {
    /// No place to put it.
    #[error("No home folder is known for this user: give one with --home DIR or set LOAMLINE_HOME.")]
    Unknown,
    /// A folder cannot be made or listed.
    #[error(
        "The folder {path} cannot be used ({cause}): check that it exists and may be written, or give another with --home DIR."
    )]
    Folder {
        /// Which.
        path: String,
        /// What the system says.
        cause: io::Error,
    },
    /// The history must not lie on a network share: locks and write-ahead logs do not hold there.
    #[error(
        "The home folder {path} is on a network share, where a history can be damaged: keep it on a local disk (the inbox may be a share)."
    )]
    Share {
        /// Which.
        path: String,
    },
    /// Another service holds the home.
    #[error("Another loamline watch or nightly works in {path}: wait until it has ended, or stop it first.")]
    Busy {
        /// Which.
        path: String,
    },
}

/// One company's (or one lawn's) whole state.
#[derive(Debug, Clone)]
pub struct Home {
    root: PathBuf,
}

/// Held while a service works in a home; given back when dropped or when the process ends.
#[derive(Debug)]
pub struct ServiceLock {
    _file: fs::File,
}

impl Home {
    /// The folder asked for, else the platform's user data folder.
    ///
    /// # Errors
    /// [`HomeError::Unknown`] where neither is known.
    pub fn locate(asked: Option<PathBuf>) -> Result<PathBuf, HomeError> {
        use etcetera::BaseStrategy;
        if let Some(path) = asked.filter(|p| !p.as_os_str().is_empty()) {
            return Ok(path);
        }
        let strategy = etcetera::choose_base_strategy().map_err(|_| HomeError::Unknown)?;
        Ok(strategy.data_dir().join("loamline"))
    }

    /// Opens a home, making what is missing. Temporary files are left to [`Home::sweep`].
    ///
    /// # Errors
    /// [`HomeError`] where a folder cannot be made or the home lies on a network share.
    pub fn open(root: &Path) -> Result<Self, HomeError> {
        Self::open_unless(on_network_share, root)
    }

    fn open_unless(is_share: impl Fn(&Path) -> bool, root: &Path) -> Result<Self, HomeError> {
        let broken = |path: &Path| {
            let shown = path.display().to_string();
            move |cause| HomeError::Folder { path: shown, cause }
        };
        fs::create_dir_all(root).map_err(broken(root))?;
        let root = root.canonicalize().map_err(broken(root))?;
        let home = Self { root };
        for folder in [home.inbox(), home.filed(), home.held(), home.refused(), home.charts(), home.temp()] {
            fs::create_dir_all(&folder).map_err(broken(&folder))?;
        }
        if is_share(&home.root) {
            return Err(HomeError::Share { path: home.root.display().to_string() });
        }
        Ok(home)
    }

    /// A home that is only read: nothing is made. The folder need not be one.
    pub fn as_is(root: &Path) -> Self {
        Self { root: root.to_owned() }
    }

    /// The folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// `loamline.toml`, an optional file.
    pub fn settings(&self) -> PathBuf {
        self.root.join("loamline.toml")
    }

    /// `loamline.db`, the history.
    pub fn history(&self) -> PathBuf {
        self.root.join("loamline.db")
    }

    /// `loamline.password`, the hash of the pages' password; there once one is set.
    pub fn password(&self) -> PathBuf {
        self.root.join("loamline.password")
    }

    /// `loamline.tokens`, hashes of the tokens with which programs ask.
    pub fn tokens(&self) -> PathBuf {
        self.root.join("loamline.tokens")
    }

    /// Where reports are dropped.
    pub fn inbox(&self) -> PathBuf {
        self.root.join("inbox")
    }

    /// Originals that were read.
    pub fn filed(&self) -> PathBuf {
        self.root.join("filed")
    }

    /// Originals that wait for a person.
    pub fn held(&self) -> PathBuf {
        self.root.join("held")
    }

    /// Originals that cannot be read.
    pub fn refused(&self) -> PathBuf {
        self.root.join("refused")
    }

    /// Drawn charts, one folder a site.
    pub fn charts(&self) -> PathBuf {
        self.root.join("charts")
    }

    /// Temporary files of this program, and of nobody else.
    pub fn temp(&self) -> PathBuf {
        self.root.join(".work")
    }

    /// What monitors ask: the last pass, the last checks.
    pub fn health(&self) -> PathBuf {
        self.root.join(".health")
    }

    /// Removes the temporary files of processes that live no more. Their names start with the process id.
    pub fn sweep(&self) {
        let Ok(entries) = fs::read_dir(self.temp()) else { return };
        for entry in entries.flatten() {
            let name = entry.file_name();
            let owner = name.to_str().and_then(|n| n.split('-').next()).and_then(|n| n.parse::<u32>().ok());
            let alive = owner
                .is_some_and(|id| id == std::process::id() || Path::new(&format!("/proc/{id}")).exists());
            if !alive {
                // A file that cannot be removed now is tried again at the next start.
                let _ = fs::remove_file(entry.path());
            }
        }
    }

    /// Takes the lock that lets one service work in a home; `ingest` and the reading commands run beside it.
    ///
    /// # Errors
    /// [`HomeError::Busy`] while another holds it.
    pub fn lock_service(&self) -> Result<ServiceLock, HomeError> {
        let path = self.root.join("loamline.lock");
        let file = fs::OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|cause| HomeError::Folder { path: path.display().to_string(), cause })?;
        rustix::fs::flock(&file, rustix::fs::FlockOperation::NonBlockingLockExclusive)
            .map_err(|_| HomeError::Busy { path: self.root.display().to_string() })?;
        Ok(ServiceLock { _file: file })
    }

    /// A path below the home as the history keeps it: relative, with forward slashes.
    pub fn relative(&self, path: &Path) -> String {
        path.strip_prefix(&self.root).unwrap_or(path).to_string_lossy().replace('\\', "/")
    }
}

/// This process for a note that outlives it: its number and when it began, since numbers are used again.
pub fn process() -> String {
    let id = std::process::id();
    format!("{id}-{}", begun(id).unwrap_or_default())
}

/// True while the process of a note lives.
pub fn lives(process: &str) -> bool {
    let (id, time) = process.split_once('-').unwrap_or((process, ""));
    id.parse().ok().and_then(begun).is_some_and(|begun| begun == time)
}

/// When a living process began, in the system's own ticks. Field 22 of /proc/PID/stat, proc(5) (from memory).
fn begun(id: u32) -> Option<String> {
    let stat = fs::read_to_string(format!("/proc/{id}/stat")).ok()?;
    // The name in parentheses may hold anything; the fields are counted after it.
    let (_, fields) = stat.rsplit_once(')')?;
    let mut fields = fields.split_whitespace();
    let state = fields.next()?;
    // A dead process that nobody asked after yet works no more.
    (state != "Z").then(|| fields.nth(18).map(str::to_owned)).flatten()
}

/// True where the file system is one of the network kinds, on which change events do not arrive and locks do not hold.
///
/// Magic numbers from the manual page statfs(2) (from memory): NFS, SMB, SMB2, CIFS, AFS, Coda, NCP, Ceph, 9P, FUSE is
/// left out because local disks are mounted through it as well.
pub fn on_network_share(path: &Path) -> bool {
    rustix::fs::statfs(path).is_ok_and(|s| u64::try_from(s.f_type).is_ok_and(is_share))
}

fn is_share(kind: u64) -> bool {
    const KINDS: [u64; 9] = [
        0x6969,
        0x517b,
        0xfe53_4d42,
        0xff53_4d42,
        0x5346_414f,
        0x7375_7245,
        0x564c,
        0x00c3_6400,
        0x0102_1997,
    ];
    KINDS.contains(&(kind & 0xffff_ffff))
}

/// Bytes free for this user on the disk of a path; none where the system does not say.
pub fn bytes_free(path: &Path) -> Option<u64> {
    let s = rustix::fs::statfs(path).ok()?;
    u64::try_from(s.f_bsize).ok()?.checked_mul(s.f_bavail)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_home_is_made_on_first_use() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(&dir.path().join("a/b")).unwrap();
        assert!(home.inbox().is_dir() && home.filed().is_dir() && home.temp().is_dir());
        assert_eq!(home.relative(&home.held().join("x.pdf")), "held/x.pdf");
    }

    #[test]
    fn shares_are_told_from_disks_by_the_number_of_their_kind() {
        // NFS, SMB, CIFS and 9P; some systems widen the number with its sign.
        for kind in [0x6969, 0x517b, 0xff53_4d42, 0xffff_ffff_ff53_4d42, 0x0102_1997] {
            assert!(is_share(kind), "{kind:x}");
        }
        // ext, btrfs, XFS, tmpfs, overlay, FUSE.
        for kind in [0xef53, 0x9123_683e, 0x5846_5342, 0x0102_1994, 0x794c_7630, 0x6573_5546, 0] {
            assert!(!is_share(kind), "{kind:x}");
        }
    }

    #[test]
    fn a_home_on_a_share_is_refused_before_a_history_is_made() {
        let dir = tempfile::tempdir().unwrap();
        let said = Home::open_unless(|_| true, dir.path()).unwrap_err();
        assert!(matches!(&said, HomeError::Share { .. }), "{said}");
        assert!(said.to_string().contains("local disk"), "{said}");
        assert!(!Home::as_is(dir.path()).history().exists());
    }

    #[test]
    fn a_second_service_is_told_that_the_home_is_taken() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(dir.path()).unwrap();
        let first = home.lock_service().unwrap();
        assert!(matches!(home.lock_service(), Err(HomeError::Busy { .. })));
        drop(first);
        assert!(home.lock_service().is_ok());
    }

    #[test]
    fn a_process_is_known_by_its_number_and_its_beginning() {
        let me = process();
        assert!(lives(&me), "{me}");
        assert!(!lives(&format!("{}-1", std::process::id())), "another had the number before");
        assert!(!lives("4294967295-1") && !lives(""));
    }

    #[test]
    fn only_the_files_of_dead_processes_are_swept() {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(dir.path()).unwrap();
        let mine = home.temp().join(format!("{}-1", std::process::id()));
        let dead = home.temp().join("4294967295-1");
        fs::write(&mine, "x").unwrap();
        fs::write(&dead, "x").unwrap();
        home.sweep();
        assert!(mine.exists() && !dead.exists());
    }
}
