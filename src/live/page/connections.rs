//! Connections: how long each step of one may take, and who keeps a slot when there are too many.
//!
//! A connection whose requests have not shown the key yet is a stranger's. There are slots for a
//! number of strangers; when one more comes, the oldest is closed. So slow or many strangers never
//! keep the owner's own page out, whose requests show the key at once. No time limit runs while an
//! answer is worked out.

use std::collections::VecDeque;
use std::io;
use std::pin::Pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::{Extension, Router};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio::time::{Instant, Sleep, sleep};

/// How long the head of a request may take, from the end of the answer before it.
const HEAD: Duration = Duration::from_secs(10);
/// How long an answer may stand still because nobody reads it. A page that listens hears something every
/// few seconds.
const UNREAD: Duration = Duration::from_mins(1);
/// Wait after the system refused a connection, as it does when too many files are open.
const REFUSED: Duration = Duration::from_millis(100);
/// The most connections of strangers at once, and of those who have the key.
const MOST_STRANGERS: usize = 64;
const MOST_KNOWN: usize = 128;

/// Answers requests until the program ends.
pub(super) async fn serve(listener: TcpListener, router: Router) {
    serve_within(listener, router, HEAD).await;
}

async fn serve_within(listener: TcpListener, router: Router, head: Duration) {
    let slots = Arc::new(Slots::default());
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            sleep(REFUSED).await;
            continue;
        };
        // Small answers leave at once.
        let _ = stream.set_nodelay(true);
        let (slot, gone) = Slots::take(&slots);
        let answers = router.clone().layer(Extension(Arc::new(slot)));
        tokio::spawn(async move {
            let connection = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(head)
                .serve_connection(
                    TokioIo::new(Read::new(stream)),
                    TowerToHyperService::new(answers),
                );
            tokio::select! {
                // A broken connection is no error of the server.
                _ = connection => {}
                _ = gone => {}
            }
        });
    }
}

/// Who holds which slot.
#[derive(Debug, Default)]
struct Slots {
    held: Mutex<SlotTable>,
}

#[derive(Debug, Default)]
struct SlotTable {
    number: u64,
    /// Those who have not shown the key, in the order in which they came; dropping an end closes its
    /// connection.
    strangers: VecDeque<(u64, oneshot::Sender<()>)>,
    /// The same of those who have.
    known: Vec<(u64, oneshot::Sender<()>)>,
}

/// The slot of one connection.
#[derive(Debug)]
pub(super) struct Slot {
    number: u64,
    slots: Arc<Slots>,
}

impl Slots {
    /// A slot for one more, and what ends when it has to be given up.
    fn take(slots: &Arc<Self>) -> (Slot, oneshot::Receiver<()>) {
        let (end, gone) = oneshot::channel();
        let mut held = slots.held();
        held.number += 1;
        let number = held.number;
        held.strangers.push_back((number, end));
        if held.strangers.len() > MOST_STRANGERS {
            held.strangers.pop_front();
        }
        let slots = Arc::clone(slots);
        (Slot { number, slots }, gone)
    }

    fn held(&self) -> MutexGuard<'_, SlotTable> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Slot {
    /// The connection has shown the key: it keeps its slot, as long as there are not too many of
    /// these.
    pub(super) fn keep(&self) {
        let mut held = self.slots.held();
        if held.known.len() >= MOST_KNOWN {
            return;
        }
        let at = held.strangers.iter().position(|(n, _)| *n == self.number);
        if let Some(slot) = at.and_then(|at| held.strangers.remove(at)) {
            held.known.push(slot);
        }
    }
}

impl Drop for Slot {
    fn drop(&mut self) {
        let mut held = self.slots.held();
        held.strangers.retain(|(n, _)| *n != self.number);
        held.known.retain(|(n, _)| *n != self.number);
    }
}

/// A connection whose answers have to be read.
#[derive(Debug)]
struct Read {
    stream: TcpStream,
    /// Whether the last attempt to write has to wait, and until when it may.
    stuck: bool,
    until: Pin<Box<Sleep>>,
}

impl Read {
    fn new(stream: TcpStream) -> Self {
        Self {
            stream,
            stuck: false,
            until: Box::pin(sleep(UNREAD)),
        }
    }

    /// What came of writing; an error where nothing could be written for too long.
    fn written<T>(
        &mut self,
        context: &mut Context<'_>,
        written: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.stuck = false;
            return written;
        }
        if !self.stuck {
            self.stuck = true;
            self.until.as_mut().reset(Instant::now() + UNREAD);
        }
        match self.until.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl AsyncRead for Read {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, buffer)
    }
}

impl AsyncWrite for Read {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.written(context, written)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::routing::get;
    use std::io::{Read as _, Write as _};
    use std::net::SocketAddr;

    /// What comes back until the connection ends.
    fn answer(address: SocketAddr, request: &str) -> String {
        let mut stream = std::net::TcpStream::connect(address).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut text = String::new();
        let _ = stream.read_to_string(&mut text);
        text
    }

    /// An answer may take many times as long as a head may, and is given all the same; a head that
    /// takes longer ends its connection.
    #[test]
    fn time_runs_while_a_head_is_read_and_not_while_an_answer_is_worked_out() {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .unwrap();
        runtime.block_on(async {
            let head = Duration::from_millis(100);
            let slow = move || async move {
                sleep(head * 5).await;
                "at last"
            };
            let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
            let address = listener.local_addr().unwrap();
            let router = Router::new().route("/", get(slow));
            tokio::spawn(serve_within(listener, router, head));
            let asked = |request: &'static str| {
                tokio::task::spawn_blocking(move || answer(address, request))
            };
            let whole = asked("GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n").await;
            assert!(whole.unwrap().ends_with("at last"));
            let half = asked("GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ").await;
            assert!(!half.unwrap().contains("at last"));
        });
    }

    #[test]
    fn the_stranger_that_came_first_has_to_go_and_who_has_the_key_stays() {
        let slots = Arc::new(Slots::default());
        let (own, mut own_gone) = Slots::take(&slots);
        own.keep();
        let (_first, mut first_gone) = Slots::take(&slots);
        let others: Vec<_> = (1..MOST_STRANGERS).map(|_| Slots::take(&slots)).collect();
        assert_eq!(
            first_gone.try_recv(),
            Err(oneshot::error::TryRecvError::Empty)
        );
        let (_last, mut last_gone) = Slots::take(&slots);
        assert_eq!(
            first_gone.try_recv(),
            Err(oneshot::error::TryRecvError::Closed)
        );
        for gone in [&mut own_gone, &mut last_gone] {
            assert_eq!(gone.try_recv(), Err(oneshot::error::TryRecvError::Empty));
        }
        drop(others);
        drop(own);
        assert_eq!(
            own_gone.try_recv(),
            Err(oneshot::error::TryRecvError::Closed)
        );
    }
}
