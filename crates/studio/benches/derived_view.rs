//! The whole derived view of a plan with 200 landmarks and 10 detail boxes, against a bare JSON echo of the same size: both are
//! asked over one kept connection on loopback, of servers of the same kind in this process.

use std::io::{self, Read, Write};
use std::net::{SocketAddr, TcpStream};

use axum::routing::post;
use axum::{Json, Router};
use criterion::Criterion;
use painting::{Contents, Document, IfExists, Painting};
use plan::{
    Canvas, CanvasPoint, CanvasRect, DetailBox, Grid, Landmark, Length, PhotoPoint, PhotoSize, Plan,
    Reference, Unit,
};
use serde_json::Value;
use studio::{Listening, Options};

/// More than any head needs; as many as the aim speaks of.
const LANDMARKS: u32 = 200;

const DETAILS: u32 = 10;

/// A portrait with many landmarks.
fn busy_plan() -> Result<Plan, Box<dyn std::error::Error>> {
    let mut plan = Plan::new(Canvas::nominal(Length::inches(24.0), Length::inches(36.0)), Unit::Inch);
    plan.reference = Some(Reference::fitted(PhotoSize { width: 4000, height: 6000 }));
    for number in 0..LANDMARKS {
        let at = PhotoPoint::new(200.0 + 17.0 * f64::from(number), 300.0 + 26.0 * f64::from(number));
        plan.landmarks.push(Landmark { name: format!("spot {number}").into(), at });
    }
    for number in 0..DETAILS {
        let corner = CanvasPoint::mm(20.0 + 50.0 * f64::from(number), 30.0 + 60.0 * f64::from(number));
        let rect = CanvasRect::new(corner, Length::mm(60.0), Length::mm(60.0));
        plan.details.push(DetailBox::new(format!("box {number}"), rect, Grid::default()));
    }
    plan.check()?;
    Ok(plan)
}

/// A connection that is kept open.
struct Line(TcpStream, SocketAddr);

impl Line {
    fn open(address: SocketAddr) -> io::Result<Self> {
        let stream = TcpStream::connect(address)?;
        stream.set_nodelay(true)?;
        Ok(Self(stream, address))
    }

    /// The body of the answer.
    fn ask(&mut self, method: &str, path: &str, body: &[u8]) -> io::Result<Vec<u8>> {
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
            self.1,
            body.len()
        );
        self.0.write_all(&[head.as_bytes(), body].concat())?;
        let mut answer = Vec::new();
        let mut part = vec![0; 1 << 16];
        loop {
            let count = self.0.read(&mut part)?;
            if count == 0 {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
            answer.extend(&part[..count]);
            let Some(end) = answer.windows(4).position(|four| four == b"\r\n\r\n") else { continue };
            let head = String::from_utf8_lossy(&answer[..end]).to_lowercase();
            let length =
                head.lines().find_map(|line| line.strip_prefix("content-length: ")?.parse::<usize>().ok());
            let length = length.ok_or(io::ErrorKind::InvalidData)?;
            if answer.len() == end + 4 + length {
                return Ok(answer.split_off(end + 4));
            }
        }
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut criterion = Criterion::default().configure_from_args();
    let folder = tempfile::tempdir()?;
    let document = Document { title: "Busy".to_owned(), photo: None, plan: busy_plan()? };
    let contents = Contents { document: &document, photos: &[], checks: &[] };
    Painting::write_new(&folder.path().join("busy.mahlstick"), contents, IfExists::Refuse)?;
    let runtime = tokio::runtime::Runtime::new()?;
    let options = Options { folder: folder.path().to_owned(), port: Some(0), demo: None, lan: None };
    let studio = runtime.block_on(Listening::start(options))?;
    let address: SocketAddr = studio.address().trim_start_matches("http://").trim_end_matches('/').parse()?;
    runtime.spawn(studio.serve(std::future::pending()));
    let echo = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0"))?;
    let echo_address = echo.local_addr()?;
    let echoing = Router::new().route("/", post(async |Json(value): Json<Value>| Json(value)));
    runtime.spawn(async move { axum::serve(echo, echoing).await });

    let (mut ours, mut bare) = (Line::open(address)?, Line::open(echo_address)?);
    let shelf: Value = serde_json::from_slice(&ours.ask("GET", "/api/shelf", b"")?)?;
    let id = shelf["paintings"][0]["id"].as_str().ok_or("no painting on the shelf")?;
    // An edit that is tried: nothing of what it gives can have been made before.
    let path = format!("/api/paintings/{id}/try");
    let tried = br#"{"edit": {"grid": {"do": "parts", "columns": 6, "rows": 9}}}"#;
    let view = ours.ask("POST", &path, tried)?;
    println!("{} bytes of derived view", view.len());
    let mut group = criterion.benchmark_group("derived view");
    group.bench_function("ours", |bencher| bencher.iter(|| ours.ask("POST", &path, tried)));
    group.bench_function("bare echo", |bencher| bencher.iter(|| bare.ask("POST", "/", &view)));
    group.finish();
    criterion.final_summary();
    Ok(())
}
