//! Opens mangled copies of real files and tells what became of them.
//!
//! `mangle [--copies N] [--seed N] FILE…` makes N copies (2000 if not said) of each photo, painting file (`.mahlstick`) or plain
//! plan (`.json`), each with a few bits flipped, an end or a piece cut away, a piece of itself or of another of the files put
//! in, or a number that may be a size made huge. Every copy is opened and read to the end as the program would do it. Counted
//! as a fault are a panic, more than two seconds (plus a second for each 50 million pixels that the copy states), more than
//! 300 MiB above what the stated size takes, and a message that does not name the file or does not end as a sentence. Linux only: the peak of memory is read from `/proc`.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use painting::{Fault, IfExists, Painting};
use photo::{Photo, PhotoError};

/// Beyond what a picture of the stated size takes.
const MEMORY_ALLOWED: u64 = 300 << 20;
const TIME_ALLOWED: Duration = Duration::from_secs(2);
/// A picture at full size, while it is turned upright and its colours are converted: two copies of up to 16 bits and four channels.
const BYTES_PER_PIXEL: u64 = 16;
const PIXELS_PER_SECOND: f64 = 50e6;

fn main() -> ExitCode {
    match run() {
        Ok(0) => ExitCode::SUCCESS,
        Ok(_) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<usize, Box<dyn std::error::Error>> {
    let (mut copies, mut seed, mut files) = (2000, 1, Vec::new());
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--copies" => copies = arguments.next().ok_or("How many copies?")?.parse()?,
            "--seed" => seed = arguments.next().ok_or("Which seed?")?.parse()?,
            _ => files.push(PathBuf::from(argument)),
        }
    }
    let contents = files.iter().map(fs::read).collect::<Result<Vec<_>, _>>()?;
    let folder = tempfile::tempdir()?;
    // A panic is told here, once, with its copy.
    std::panic::set_hook(Box::new(|_| {}));
    let mut faults = 0;
    for (file, bytes) in files.iter().zip(&contents) {
        if let Some(message) = try_copy(file, bytes, folder.path())?.message {
            return Err(format!("{}: refused before it is mangled: {message}", file.display()).into());
        }
        let mut mangler = Mangler { state: seed };
        let (mut opened, mut refused, mut slowest, mut most) = (0, 0, Duration::ZERO, 0);
        for copy in 0..copies {
            let other = &contents[mangler.below(contents.len())];
            let mangled = mangler.mangled(bytes, other);
            let outcome = try_copy(file, &mangled, folder.path())?;
            slowest = slowest.max(outcome.took);
            most = most.max(outcome.memory);
            if outcome.message.is_some() {
                refused += 1;
            } else {
                opened += 1;
            }
            if let Some(fault) = outcome.fault {
                faults += 1;
                let kept = Path::new("out/mangled");
                fs::create_dir_all(kept)?;
                let name = kept.join(format!("{copy}-{}", file.file_name().unwrap_or_default().display()));
                fs::write(&name, &mangled)?;
                println!("{}: {fault}", name.display());
            }
        }
        println!(
            "{}: {copies} copies, {opened} opened, {refused} refused; slowest {} ms, most memory {} MiB",
            file.display(),
            slowest.as_millis(),
            most >> 20
        );
    }
    Ok(faults)
}

struct Outcome {
    /// Why it was refused; `None` if it was opened.
    message: Option<String>,
    took: Duration,
    memory: u64,
    fault: Option<String>,
}

/// Reads one copy as the program would.
fn try_copy(original: &Path, bytes: &[u8], folder: &Path) -> Result<Outcome, Box<dyn std::error::Error>> {
    let ending = original.extension().unwrap_or_default().to_string_lossy().into_owned();
    let file = folder.join(format!("mangled.{ending}"));
    fs::write(&file, bytes)?;
    let before = memory("VmRSS:")?;
    fs::write("/proc/self/clear_refs", "5")?;
    let begun = Instant::now();
    let read = catch_unwind(AssertUnwindSafe(|| match ending.as_str() {
        "mahlstick" => read_painting(&file).map(|()| 0).map_err(|message| (message, 0)),
        "json" => read_plan(&file, original, folder).map(|()| 0).map_err(|message| (message, 0)),
        _ => read_photo(&file),
    }));
    let took = begun.elapsed();
    let memory = memory("VmHWM:")?.saturating_sub(before);
    let (pixels, message) = match read {
        Ok(Ok(pixels)) => (pixels, None),
        Ok(Err((message, pixels))) => (pixels, Some(message)),
        Err(_) => {
            let fault = Some("a panic".to_owned());
            return Ok(Outcome { message: fault.clone(), took, memory, fault });
        }
    };
    let allowed = TIME_ALLOWED + Duration::from_secs_f64(pixels as f64 / PIXELS_PER_SECOND);
    let fault = if took > allowed {
        Some(format!("took {} ms", took.as_millis()))
    } else if memory > MEMORY_ALLOWED + pixels * BYTES_PER_PIXEL {
        Some(format!("took {} MiB", memory >> 20))
    } else {
        let unclear = message.as_ref().filter(|message| !is_clear(message));
        unclear.map(|message| format!("an unclear message: {message}"))
    };
    Ok(Outcome { message, took, memory, fault })
}

/// Opens, reduces, decodes and checks a photo: how many pixels it has or states.
fn read_photo(file: &Path) -> Result<u64, (String, u64)> {
    let told = |error: PhotoError| error.to_string();
    let photo = Photo::open(file).map_err(|error| (told(error), 0))?;
    let size = photo.size();
    let pixels = u64::from(size.width) * u64::from(size.height);
    let read = || {
        photo.preview(1024)?;
        if let Some(copy) = photo.embeddable_jpeg() {
            copy.check()?;
        }
        photo.upright()
    };
    read().map(|_| pixels).map_err(|error| (told(error), pixels))
}

/// Opens a painting to work in it, and reads everything that is in it.
fn read_painting(file: &Path) -> Result<(), String> {
    let read = || {
        Painting::open_read_only(file)?;
        let mut painting = Painting::open(file)?;
        let present = painting.present()?;
        painting.history()?;
        painting.checks()?;
        if let Some(id) = present.document.photo {
            painting.photo(id)?;
        }
        match painting.undo(present.revision) {
            Err(error) if error.fault != Fault::NothingToUndo => Err(error),
            _ => Ok(()),
        }
    };
    read().map_err(|error| error.to_string())
}

/// Imports a plain plan, with the photos that lie beside the original, into a painting file.
fn read_plan(file: &Path, original: &Path, folder: &Path) -> Result<(), String> {
    let plain = folder.join("plain");
    let made = folder.join("made.mahlstick");
    let prepare = || {
        if !plain.exists() {
            fs::create_dir_all(&plain)?;
            for beside in fs::read_dir(original.parent().unwrap_or(Path::new(".")))? {
                let beside = beside?;
                fs::copy(beside.path(), plain.join(beside.file_name()))?;
            }
        }
        fs::copy(file, plain.join("plan.json"))
    };
    prepare().map_err(|error: std::io::Error| format!("mangled: The test cannot be made ({error})."))?;
    painting::import(&plain, &made, IfExists::Replace).map(|_| ()).map_err(|error| error.to_string())
}

/// Whether a message names the file, in quotes or before a colon, and goes on to the end of a sentence.
fn is_clear(message: &str) -> bool {
    let names_the_file = message.contains('“') || message.contains(": ");
    names_the_file && message.trim_end().ends_with(['.', '?'])
}

/// A line of `/proc/self/status`, in bytes.
fn memory(line: &str) -> Result<u64, Box<dyn std::error::Error>> {
    let status = fs::read_to_string("/proc/self/status")?;
    let kib = status.lines().find_map(|text| text.strip_prefix(line)?.split_whitespace().next());
    Ok(kib.ok_or("no such line in /proc/self/status")?.parse::<u64>()? << 10)
}

/// Makes mangled copies, the same for the same seed (xorshift64*: S. Vigna, "An experimental exploration of Marsaglia's xorshift
/// generators, scrambled", ACM Transactions on Mathematical Software 42, 2016).
struct Mangler {
    state: u64,
}

impl Mangler {
    fn next(&mut self) -> u64 {
        self.state ^= self.state >> 12;
        self.state ^= self.state << 25;
        self.state ^= self.state >> 27;
        self.state.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// A number below `bound`, which is taken for 1 if it is 0.
    fn below(&mut self, bound: usize) -> usize {
        (self.next() >> 16) as usize % bound.max(1)
    }

    fn mangled(&mut self, bytes: &[u8], other: &[u8]) -> Vec<u8> {
        let mut copy = bytes.to_vec();
        for _ in 0..=self.below(3) {
            let length = copy.len();
            // Headers are hit as often as all the rest.
            let reach = if self.below(2) == 0 { length.min(1024) } else { length };
            let place = self.below(reach);
            match self.below(5) {
                0 => {
                    for _ in 0..=self.below(8) {
                        let at = self.below(reach);
                        if let Some(byte) = copy.get_mut(at) {
                            *byte ^= 1 << self.below(8);
                        }
                    }
                }
                1 => copy.truncate(place),
                2 => {
                    let end = (place + 1 + self.below(4096)).min(length);
                    copy.drain(place..end);
                }
                3 => {
                    let from = self.below(other.len());
                    let to = (from + 1 + self.below(4096)).min(other.len());
                    copy.splice(place..place, other[from..to].iter().copied());
                }
                // A number of two or four bytes, in either order, that may be a length or a size.
                _ => {
                    let huge = [[0xFF; 4], [0x7F, 0xFF, 0xFF, 0xFF], [0, 1, 0, 0], [0; 4]][self.below(4)];
                    let width = [2, 4][self.below(2)];
                    let end = (place + width).min(length);
                    copy[place..end].copy_from_slice(&huge[..end - place]);
                }
            }
        }
        copy
    }
}
