//! A bound on how many connections are open at once: the next one waits until one closes.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};

use axum::serve::Listener;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// The most connections at once.
const MOST: usize = 128;

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
    _place: OwnedSemaphorePermit,
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
        Pin::new(&mut self.stream).poll_read(context, buffer)
    }
}

impl AsyncWrite for Placed {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(context, bytes)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}
