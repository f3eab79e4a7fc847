//! The office: drawings uploaded to a page on this machine, reviewed there, planned, downloaded.
//!
//! Knows: jobs and their folder, the queue, the HTTP calls of `openapi.json`, the page's files. Never
//! touches: how anything is read or planned ([`pipeline`] does), other machines.
//!
//! The way of a request: `shield` (is it from our own page?), `routes`, then `office`,
//! which holds all jobs; `work` plans them, on threads of its own; `folder` keeps them; `view` puts
//! results into the shapes of the API. Nothing a client sends is ever used as a path.

mod folder;
mod frame;
mod job;
mod names;
mod office;
mod page;
mod problem;
mod results;
mod review;
mod routes;
mod server;
mod shelf;
mod shield;
mod upload;
mod view;
mod work;

pub use job::Stage;
pub use server::{Server, Stop, start};

use limits::Limits;
use settings::Settings;
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

/// The API, as every answer keeps it.
pub const OPENAPI: &str = include_str!("../openapi.json");

/// Called before each stage of a job, with the drawing's file name.
pub type BeforeStage = Arc<dyn Fn(Stage, &str) + Send + Sync>;

/// What the server is to do.
#[derive(Clone)]
pub struct Config {
    /// Where jobs are kept; made if it does not exist.
    pub folder: PathBuf,
    /// Where to listen; anything but loopback lets other machines in.
    pub address: IpAddr,
    /// 0 takes a free port.
    pub port: u16,
    /// Text of the settings file of new jobs; may be empty.
    pub settings_toml: String,
    /// Largest drawing.
    pub upload_bytes: u64,
    /// What each job may take: its own settings can lower these, never raise them.
    pub limits: Limits,
    /// Longest time an upload may take.
    pub upload_time: Duration,
    /// Jobs worked on at once.
    pub jobs_at_once: usize,
    /// For tests of what happens when a job is slow or fails.
    #[doc(hidden)]
    pub before_stage: Option<BeforeStage>,
}

impl Config {
    /// On the loopback address and a free port, 256 MiB in ten minutes, two jobs at once.
    pub fn new(folder: impl Into<PathBuf>) -> Config {
        Config {
            folder: folder.into(),
            address: IpAddr::V4(Ipv4Addr::LOCALHOST),
            port: 0,
            settings_toml: String::new(),
            upload_bytes: 256 << 20,
            limits: Limits::default(),
            upload_time: Duration::from_secs(600),
            jobs_at_once: 2,
            before_stage: None,
        }
    }
}

/// Settings from the text of a job's own file.
fn settings_of(toml: &str) -> Result<Settings, diag::Refusal> {
    settings::parse::from_toml(toml, "settings")
}

/// Locks, whatever a panic of another thread left: what is kept under locks is replaced whole.
fn locked<T>(mutex: &std::sync::Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}
