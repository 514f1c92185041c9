//! A connection whose other end must take what it is sent in time.

use std::future::Future;
use std::io::{self, ErrorKind, IoSlice};
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Sleep, sleep};

/// A stream with a limit on how long an answer may take to be sent off, however
/// slowly the other end takes it.
#[derive(Debug)]
pub(super) struct Patient<S> {
    stream: S,
    time: Duration,
    /// Runs from the first write that had to wait until all is sent.
    until: Option<Pin<Box<Sleep>>>,
}

impl<S> Patient<S> {
    pub fn new(stream: S, time: Duration) -> Self {
        Patient { stream, time, until: None }
    }

    /// What became of a write, or an error where the time is up.
    fn in_time<T>(&mut self, cx: &mut Context<'_>, done: Poll<io::Result<T>>) -> Poll<io::Result<T>> {
        if done.is_ready() {
            return done;
        }
        let until = self.until.get_or_insert_with(|| Box::pin(sleep(self.time)));
        ready!(until.as_mut().poll(cx));
        Poll::Ready(Err(ErrorKind::TimedOut.into()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Patient<S> {
    fn poll_read(self: Pin<&mut Self>, cx: &mut Context<'_>, to: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().stream).poll_read(cx, to)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Patient<S> {
    fn poll_write(self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        let this = self.get_mut();
        let done = Pin::new(&mut this.stream).poll_write(cx, bytes);
        this.in_time(cx, done)
    }

    fn poll_write_vectored(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        pieces: &[IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let this = self.get_mut();
        let done = Pin::new(&mut this.stream).poll_write_vectored(cx, pieces);
        this.in_time(cx, done)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let this = self.get_mut();
        let done = Pin::new(&mut this.stream).poll_flush(cx);
        if done.is_ready() {
            this.until = None;
        }
        this.in_time(cx, done)
    }

    fn poll_shutdown(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let this = self.get_mut();
        let done = Pin::new(&mut this.stream).poll_shutdown(cx);
        this.in_time(cx, done)
    }
}
