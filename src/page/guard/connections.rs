//! Takes connections and bounds each: how many, how long a head may take and how large it may be.

use super::limits::HEAD_BYTES;
use super::stall::Stalling;
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use tokio_util::task::TaskTracker;

/// Connections at the same time; the next ones wait at the door.
const CONNECTIONS: usize = 512;

/// A head is there within this time, or the connection ends; so does one that asks for nothing more.
const HEAD_TIME: Duration = Duration::from_secs(10);

/// At the end, answers under way have so long.
const LAST_ANSWERS: Duration = Duration::from_secs(4);

/// Answers until it is told to stop, then finishes what is under way.
pub async fn serve(listener: TcpListener, pages: Router, mut stop: watch::Receiver<bool>) {
    let seats = Arc::new(Semaphore::new(CONNECTIONS));
    let open = TaskTracker::new();
    loop {
        let taken = async {
            let seat = Arc::clone(&seats).acquire_owned().await;
            (seat, listener.accept().await)
        };
        let (seat, accepted) = tokio::select! {
            () = stopped(&mut stop) => break,
            taken = taken => taken,
        };
        match (seat, accepted) {
            (Ok(seat), Ok((stream, _))) => {
                open.spawn(connection(stream, pages.clone(), stop.clone(), seat));
            }
            (_, Err(cause)) => {
                // No descriptors left, or the caller went away: neither gets better by hurry.
                tracing::debug!(%cause, "a connection was not taken");
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
            (Err(_), _) => break,
        }
    }
    drop(listener);
    open.close();
    let _ = tokio::time::timeout(LAST_ANSWERS, open.wait()).await;
}

/// Waits until the service is to stop.
pub async fn stopped(stop: &mut watch::Receiver<bool>) {
    // A sender that is gone means the same.
    let _ = stop.wait_for(|stop| *stop).await;
}

async fn connection(
    stream: TcpStream,
    pages: Router,
    mut stop: watch::Receiver<bool>,
    _seat: OwnedSemaphorePermit,
) {
    let _ = stream.set_nodelay(true);
    let io = TokioIo::new(Stalling::new(stream));
    // Without a timer the time of the head is not kept at all.
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIME)
        .max_buf_size(HEAD_BYTES)
        .serve_connection(io, TowerToHyperService::new(pages));
    let mut connection = std::pin::pin!(connection);
    let ended = tokio::select! {
        ended = connection.as_mut() => ended,
        () = stopped(&mut stop) => {
            connection.as_mut().graceful_shutdown();
            connection.await
        }
    };
    if let Err(cause) = ended {
        tracing::debug!(%cause, "a connection ended");
    }
}
