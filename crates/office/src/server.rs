//! Starting and stopping.

use crate::office::Office;
use crate::{Config, routes, shield, work};
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use tokio::sync::Notify;

/// How long requests that are being answered may go on after a stop.
const LAST_ANSWERS: Duration = Duration::from_secs(5);

/// A server that listens; [`Server::run`] lets it answer.
pub struct Server {
    office: Arc<Office>,
    listener: TcpListener,
    runtime: Runtime,
    stop: Stop,
    /// What there is to tell about the folder, for people.
    pub told: Vec<String>,
}

/// Stops a server, from any thread.
#[derive(Clone, Default)]
pub struct Stop(Arc<Notify>);

impl Stop {
    /// Stops it, now or as soon as it runs.
    pub fn stop(&self) {
        self.0.notify_one();
    }
}

/// Opens the folder, queues what was not finished, listens. Nothing is answered or planned before
/// [`Server::run`].
///
/// # Errors
/// When the folder cannot be used (another server may hold it) or the address is taken.
pub fn start(config: Config) -> io::Result<Server> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        // What is asked of jobs is done on these; planning has threads of its own.
        .max_blocking_threads(16)
        .enable_io()
        .enable_time()
        .build()?;
    let address = SocketAddr::new(config.address, config.port);
    let (office, told) = Office::open(config)?;
    let office = Arc::new(office);
    let listener = runtime.block_on(TcpListener::bind(address))?;
    Ok(Server { office, listener, runtime, stop: Stop::default(), told })
}

impl Server {
    /// Where it listens.
    ///
    /// # Errors
    /// When the system does not say.
    pub fn address(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }

    /// What stops it.
    pub fn stopper(&self) -> Stop {
        self.stop.clone()
    }

    /// Answers until it is stopped, then finishes what is being answered. A job that is being planned is
    /// left, and queued again at the next start.
    ///
    /// # Errors
    /// When the listening fails.
    pub fn run(self) -> io::Result<()> {
        let Server { office, listener, runtime, stop, told: _ } = self;
        let workers = work::start(&office)?;
        let closing = Arc::clone(&office);
        let address = listener.local_addr()?;
        let known =
            shield::Known { loopback_only: address.ip().is_loopback(), port: address.port() };
        let routes = routes::all(Arc::clone(&office), known);
        let served = runtime.block_on(async move {
            let stopped = Arc::new(Notify::new());
            let also_stopped = Arc::clone(&stopped);
            let stop = async move {
                stop.0.notified().await;
                office.close();
                stopped.notify_one();
            };
            let serving = axum::serve(listener, routes).with_graceful_shutdown(stop);
            let too_long = async move {
                also_stopped.notified().await;
                tokio::time::sleep(LAST_ANSWERS).await;
            };
            tokio::select! {
                served = async { serving.await } => served,
                () = too_long => Ok(()),
            }
        });
        closing.close();
        runtime.shutdown_timeout(LAST_ANSWERS);
        // A thread in the middle of a long drawing is not waited for: its job is still open on disk.
        let begun = Instant::now();
        while workers.iter().any(|w| !w.is_finished()) && begun.elapsed() < LAST_ANSWERS {
            std::thread::sleep(Duration::from_millis(5));
        }
        served
    }
}
