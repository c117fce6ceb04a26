//! A connection whose other side takes nothing for too long is ended.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep};

/// An answer must move within this time.
const MOVES_WITHIN: Duration = Duration::from_secs(20);

/// A stream whose writing fails once it has stood still too long.
#[derive(Debug)]
pub struct Stalling<S> {
    inner: S,
    until: Pin<Box<Sleep>>,
    stands: bool,
    within: Duration,
}

impl<S> Stalling<S> {
    /// Around a stream.
    pub fn new(inner: S) -> Self {
        Self::within(inner, MOVES_WITHIN)
    }

    fn within(inner: S, within: Duration) -> Self {
        Self { inner, until: Box::pin(tokio::time::sleep(within)), stands: false, within }
    }

    fn watched<T>(&mut self, cx: &mut Context<'_>, poll: Poll<io::Result<T>>) -> Poll<io::Result<T>> {
        if poll.is_ready() {
            self.stands = false;
            return poll;
        }
        if !self.stands {
            self.stands = true;
            let until = Instant::now() + self.within;
            self.until.as_mut().reset(until);
        }
        match self.until.as_mut().poll(cx) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Stalling<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_read(cx, buffer)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Stalling<S> {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        let poll = Pin::new(&mut self.inner).poll_write(cx, bytes);
        self.watched(cx, poll)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let poll = Pin::new(&mut self.inner).poll_write_vectored(cx, bytes);
        self.watched(cx, poll)
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let poll = Pin::new(&mut self.inner).poll_flush(cx);
        self.watched(cx, poll)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let poll = Pin::new(&mut self.inner).poll_shutdown(cx);
        self.watched(cx, poll)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::AsyncWriteExt;

    #[tokio::test]
    async fn a_reader_who_takes_nothing_is_given_up() {
        let (ours, theirs) = tokio::io::duplex(16);
        let within = Duration::from_millis(50);
        let error = Stalling::within(ours, within).write_all(&[0; 64]).await.unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::TimedOut);
        drop(theirs);
    }
}
