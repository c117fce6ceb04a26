//! `serve`: the watcher and the pages in one process.

use super::Exit;
use super::context::Context;
use super::say;
use super::watch::keep_reading;
use crate::health::Pulse;
use crate::ingest::progress::Teller;
use crate::page::guard::host::Names;
use crate::page::guard::secret::Secret;
use crate::page::guard::session::Sessions;
use crate::page::guard::{connections, password};
use crate::page::keeper;
use crate::page::store::Store;
use crate::page::viewer::Viewer;
use crate::page::{self, Web};
use anyhow::{Context as _, bail};
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;

/// Where the pages are when nobody says otherwise.
const LISTEN: SocketAddr = SocketAddr::new(std::net::IpAddr::V4(Ipv4Addr::LOCALHOST), 8460);

/// The watcher and the web pages, on this machine alone unless told otherwise.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline serve\n  loamline serve --listen 127.0.0.1:9000\n\nAnother address than this machine's own needs a password first: `loamline password`. The pages speak plain HTTP; encryption belongs to a front server (reverse proxy) before them. Its name goes to `hosts` under [serve] in loamline.toml, with `https = true`. Stops on Ctrl-C or SIGTERM."
)]
pub struct Serve {
    /// Address and port of the pages (127.0.0.1:8460)
    #[arg(long, value_name = "ADDR:PORT")]
    listen: Option<SocketAddr>,
}

impl Serve {
    /// Runs it.
    ///
    /// # Errors
    /// What concerns the home, the history or the address as a whole.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let listen = self.listen.or(context.settings.serve.listen).unwrap_or(LISTEN);
        let hash = password::hash_of(&context.home).context(
            "the file loamline.password cannot be used: set the password anew with `loamline password`",
        )?;
        if !listen.ip().is_loopback() {
            if hash.is_none() {
                bail!(
                    "{listen} can be reached from other machines, so the pages need a password first: run `loamline password`, or listen on 127.0.0.1"
                );
            }
            if !context.settings.serve.https {
                say::complain(
                    "warning: the pages speak plain HTTP, so the password crosses the network readable. Put a front server with TLS (a reverse proxy) before them, add its name to `hosts` and set `https = true` under [serve] in loamline.toml.",
                );
            }
        }
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
        let ended = runtime.block_on(serve(context, listen, hash));
        // Whatever still hangs on a blocking thread must not keep the process.
        runtime.shutdown_timeout(std::time::Duration::from_secs(1));
        ended.map(|()| Exit::Fine)
    }
}

async fn serve(context: &mut Context, listen: SocketAddr, hash: Option<String>) -> anyhow::Result<()> {
    // Signals first: from here on a stop is clean.
    let mut term = signal(SignalKind::terminate())?;
    let mut int = signal(SignalKind::interrupt())?;
    let _lock = context.home.lock_service()?;
    let listener =
        TcpListener::bind(listen).await.with_context(|| format!("{listen} cannot be listened on"))?;
    let listen = listener.local_addr()?;
    let mut ingest = context.ingest()?;
    ingest.reshelve()?;
    page::drop::sweep(&context.home, &context.settings);
    let inbox = context.inbox();
    std::fs::create_dir_all(&inbox)?;
    let inbox = inbox.canonicalize()?;
    let (say_stop, stop) = watch::channel(false);
    let teller = Teller::default();
    let as_of = context.asked_day;
    let live = context.live()?;
    let (overview, seasons) = keeper::begin(context.home.clone(), Arc::clone(&live), as_of)?;
    let web = Arc::new(Web {
        home: context.home.clone(),
        live: Arc::clone(&live),
        as_of,
        store: Store::new(&context.home, &live),
        overview,
        seasons,
        recent: page::site::Recent::default(),
        progress: teller.listen(),
        viewer: Viewer::begin(Arc::clone(&live))?,
        stop: stop.clone(),
        names: Names::of(listen, &context.settings.serve.hosts),
        sessions: Sessions::new(hash),
        secret: Secret::new()?,
    });
    let reading_stops = Arc::clone(&ingest.stop);
    super::rounds::begin(context, Arc::clone(&live), Arc::clone(&reading_stops))?;
    let mut reading =
        tokio::spawn(keep_reading(inbox, live, ingest, teller, Pulse::new(&context.home, "serve")));
    let mut pages = tokio::spawn(connections::serve(listener, page::router(web), stop));
    context.say.line(format!("The pages are at http://{listen}/"))?;
    context.say.flush()?;
    let ended = tokio::select! {
        ended = &mut reading => Some(ended),
        _ = term.recv() => None,
        _ = int.recv() => None,
    };
    reading_stops.store(true, Ordering::Relaxed);
    say_stop.send_replace(true);
    let finish = async {
        let read = match ended {
            Some(ended) => ended,
            None => (&mut reading).await,
        };
        (read, (&mut pages).await)
    };
    tokio::select! {
        (read, _) = finish => read?,
        // A second signal ends at once; nothing is lost by that.
        _ = term.recv() => std::process::exit(0),
        _ = int.recv() => std::process::exit(0),
    }
}
