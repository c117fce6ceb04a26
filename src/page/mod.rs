//! The pages: everybody passes the walls of [`guard`], then one file a page answers from the same assessment as the
//! command line. Reading is done by a pool of connections, writing by one.

pub mod guard;

pub mod look;

pub mod trouble;

pub mod store;

pub mod stamp;

pub mod keeper;

pub mod overview;

pub mod seasons;

pub mod sites;

pub mod site;

pub mod chart;

pub mod login;

pub mod drop;

pub mod original;

pub mod viewer;

pub mod reading;

pub mod who;

pub mod held;

pub mod alike;

pub mod settle;

pub mod documents;

pub mod planning;

pub mod guides;

pub mod recent;

pub mod service;

pub mod api;

pub mod events;

pub use trouble::Trouble;

use crate::config::Settings;
use crate::home::Home;
use crate::ingest::progress::Progress;
use crate::live::Live;
use axum::Router;
use axum::routing::{get, post};
use guard::host::Names;
use guard::secret::Secret;
use guard::session::Sessions;
use overview::Overview;
use seasons::Seasons;
use std::sync::Arc;
use store::Store;
use tokio::sync::watch;

/// What every page works with.
#[derive(Debug)]
pub struct Web {
    /// Folders.
    pub home: Home,
    /// The settings in force.
    pub live: Arc<Live>,
    /// The day assessments are made for, where it is not today.
    pub as_of: Option<jiff::civil::Date>,
    /// Readers of the history, and its one writer for the pages.
    pub store: Store,
    /// All sites at a glance, kept up to date in the background.
    pub overview: Overview,
    /// What all sites together ask for, kept the same way.
    pub seasons: Seasons,
    /// The sites looked at last.
    pub recent: site::Recent,
    /// How far the batch in hand is.
    pub progress: watch::Receiver<Progress>,
    /// Shows pages of originals.
    pub viewer: viewer::Viewer,
    /// True once the service is to stop.
    pub stop: watch::Receiver<bool>,
    /// Names under which the pages answer.
    pub names: Names,
    /// Who is signed in.
    pub sessions: Sessions,
    /// What tokens are made with; new at every start.
    pub secret: Secret,
}

/// Shared by all requests.
pub type Shared = Arc<Web>;

impl Web {
    /// The settings in force, for one request.
    pub fn settings(&self) -> Arc<Settings> {
        self.live.get()
    }

    /// The day assessments are made for.
    pub fn today(&self) -> jiff::civil::Date {
        self.as_of.unwrap_or_else(crate::assessed::today)
    }
}

/// Every address there is. A new page gets a file beside this one, a line here, and one in [`look::NAV`] where people
/// go to it by themselves.
pub fn router(web: Shared) -> Router {
    Router::new()
        .route("/", get(sites::page))
        .route("/sites/{id}", get(site::page))
        .route("/sites/{id}/chart/{file}", get(chart::of_site))
        .route("/drop", post(drop::take))
        .route("/events", get(events::stream))
        .route("/held", get(held::page))
        .route("/sites/alike", post(alike::decide))
        .route("/readings/{id}", get(reading::page))
        .route("/readings/{id}/settle", post(settle::settle))
        .route("/decisions/{id}/undo", post(settle::undo))
        .route("/who", post(who::keep))
        .route("/sites/{id}/plan", get(planning::of_site))
        .route("/sites/{id}/letter", get(planning::letter_of_site))
        .route("/season", get(planning::season))
        .route("/service", get(service::page))
        .route("/guides", get(guides::list))
        .route("/guides/{id}", get(guides::one))
        .route("/documents", get(documents::list))
        .route("/documents/{sha256}", get(documents::one))
        .route("/documents/{sha256}/original", get(original::bytes))
        .route("/documents/{sha256}/pages/{file}", get(original::page))
        .merge(api::router())
        .route("/login", get(login::page).post(login::enter))
        .route("/logout", post(login::leave))
        .route("/look.css", get(look::css))
        .route("/comfort.js", get(look::script))
        .route("/mark.svg", get(look::mark))
        .fallback(|| async { Trouble::nothing_here() })
        .layer(axum::middleware::from_fn_with_state(Arc::clone(&web), guard::guard))
        .with_state(web)
}
