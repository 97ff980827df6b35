//! A bound on how many connections are open at once, and on how long one may do nothing: the next one
//! waits until one closes, and one on which nothing moves is closed.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::serve::Listener;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{Instant, Sleep, sleep};

/// The most connections at once.
const MOST: usize = 128;

/// How long a connection may stand still. A page that listens hears something every few seconds.
const IDLE: Duration = Duration::from_mins(1);

/// A listener that lets a bounded number in.
#[derive(Debug)]
pub(super) struct Limited {
    listener: TcpListener,
    places: Arc<Semaphore>,
}

/// A connection with its place.
#[derive(Debug)]
pub(super) struct Placed {
    stream: TcpStream,
    idle: Pin<Box<Sleep>>,
    _place: OwnedSemaphorePermit,
}

impl Placed {
    /// What came of reading or writing; an error where nothing has moved for too long.
    fn moved<T>(
        &mut self,
        context: &mut Context<'_>,
        moved: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if moved.is_ready() {
            self.idle.as_mut().reset(Instant::now() + IDLE);
            return moved;
        }
        match self.idle.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl Limited {
    pub(super) fn new(listener: TcpListener) -> Self {
        Self {
            listener,
            places: Arc::new(Semaphore::new(MOST)),
        }
    }
}

impl Listener for Limited {
    type Io = Placed;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Placed, SocketAddr) {
        let place = Arc::clone(&self.places)
            .acquire_owned()
            .await
            .expect("invariant: nobody closes the places");
        let (stream, from) = Listener::accept(&mut self.listener).await;
        // Small answers leave at once.
        let _ = stream.set_nodelay(true);
        let placed = Placed {
            stream,
            idle: Box::pin(sleep(IDLE)),
            _place: place,
        };
        (placed, from)
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

impl AsyncRead for Placed {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let read = Pin::new(&mut self.stream).poll_read(context, buffer);
        self.moved(context, read)
    }
}

impl AsyncWrite for Placed {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.moved(context, written)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}
