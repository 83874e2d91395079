//! Hears a request out though it is already answered.
//!
//! A photo that is too large, or an edit of an old state, is refused before all of it has come. A server that closes the line then
//! makes the sender's system throw away the answer that it has not yet read (RFC 9112, 9.6): the painter would be told that the
//! studio does not answer, in place of why.

use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::Error;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Request;
use axum::middleware::Next;
use axum::response::Response;
use http_body::{Frame, SizeHint};
use tokio::sync::oneshot;
use tokio::time::timeout;
use tokio_stream::StreamExt;

/// How long the rest of a request is listened to. On this computer gigabytes come in that time; from elsewhere nobody holds a line for longer.
const PATIENCE: Duration = Duration::from_secs(5);

/// Answers, and then reads what of the request nobody has read, and throws it away.
pub(crate) async fn heard_out(request: Request, next: Next) -> Response {
    let (let_go, mut left) = oneshot::channel();
    let request = request.map(|body| Body::new(Reading { body, let_go: Some(let_go) }));
    let response = next.run(request).await;
    if let Ok(unread) = left.try_recv() {
        tokio::spawn(timeout(PATIENCE, thrown_away(unread)));
    }
    response
}

async fn thrown_away(unread: Body) {
    let mut parts = unread.into_data_stream();
    while let Some(Ok(_)) = parts.next().await {}
}

/// A request's body that hands itself on when whoever reads it lets it go before its end.
struct Reading {
    body: Body,
    let_go: Option<oneshot::Sender<Body>>,
}

impl HttpBody for Reading {
    type Data = Bytes;
    type Error = Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Error>>> {
        Pin::new(&mut self.body).poll_frame(context)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

impl Drop for Reading {
    fn drop(&mut self) {
        let unread = std::mem::take(&mut self.body);
        if let Some(let_go) = self.let_go.take()
            && !unread.is_end_stream()
        {
            // Nobody hears it when the answer itself was given up.
            let _ = let_go.send(unread);
        }
    }
}

#[cfg(test)]
mod tests {
    use axum::Router;
    use axum::http::StatusCode;
    use axum::middleware::from_fn;
    use axum::routing::post;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::{TcpListener, TcpStream};

    use super::*;

    /// What a sender hears who reads only after everything is sent, of a server that refuses at once.
    async fn heard(length: usize) -> String {
        let refusing = Router::new()
            .route("/", post(async || (StatusCode::CONFLICT, "Not now.")))
            .layer(from_fn(heard_out));
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        tokio::spawn(async move { axum::serve(listener, refusing).await });
        let mut line = TcpStream::connect(address).await.unwrap();
        let head =
            format!("POST / HTTP/1.1\r\nhost: here\r\nconnection: close\r\ncontent-length: {length}\r\n\r\n");
        line.write_all(head.as_bytes()).await.unwrap();
        line.write_all(&vec![0; length]).await.unwrap();
        let mut answer = String::new();
        line.read_to_string(&mut answer).await.unwrap();
        answer
    }

    #[tokio::test]
    async fn a_refusal_is_heard_however_long_the_request() {
        for length in [0, 10, 1 << 16, 1 << 26] {
            let answer = heard(length).await;
            assert!(
                answer.starts_with("HTTP/1.1 409 ") && answer.ends_with("Not now."),
                "{length}: {answer}"
            );
        }
    }
}
