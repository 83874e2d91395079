//! Landmarks as they are written on the command line: `crown=1510,620; right pupil:990,1496=1120,1480`.

use anyhow::{Result, anyhow, bail};
use check::{ImagePoint, MOST_PAINTED, Painted};
use plan::{CanvasPoint, LandmarkName, PhotoPoint, Plan};

/// How far a point read off by hand may be beside its landmark: standard deviation in pixels.
const CLICK_SD: f64 = 1.5;

/// Reads the list.
pub(super) fn read(text: &str, plan: &Plan) -> Result<Vec<Painted>> {
    let entries: Vec<&str> = text.split(';').map(str::trim).filter(|entry| !entry.is_empty()).collect();
    if entries.len() > MOST_PAINTED {
        bail!(
            "--landmarks: At most {MOST_PAINTED} landmarks can be checked at once; there are {}.",
            entries.len()
        );
    }
    let read: Vec<Painted> = entries.into_iter().map(|entry| landmark(entry, plan)).collect::<Result<_>>()?;
    for (at, one) in read.iter().enumerate() {
        if read[..at].iter().any(|other| other.name == one.name) {
            bail!("--landmarks: “{}” is there twice. Give each landmark once.", one.name);
        }
    }
    Ok(read)
}

fn landmark(entry: &str, plan: &Plan) -> Result<Painted> {
    let wrong = || {
        anyhow!(
            "--landmarks: “{entry}” is not a landmark. Write for example “chin=1495,2480”, or “right pupil:990,1496=1120,1480” \
             with its place in the reference first."
        )
    };
    let (what, painted) = entry.split_once('=').ok_or_else(wrong)?;
    let [x, y] = pair(painted).ok_or_else(wrong)?;
    let at_px = ImagePoint::new(x, y);
    let (name, planned) = match what.split_once(':') {
        Some((name, place)) => {
            let [x, y] = pair(place).ok_or_else(wrong)?;
            (name.trim(), Some(PhotoPoint::new(x, y)))
        }
        None => (what.trim(), None),
    };
    if name.is_empty() {
        return Err(wrong());
    }
    let planned = match planned {
        Some(place) => on_canvas(place, plan)?,
        None => known(name, plan)?,
    };
    Ok(Painted { name: name.to_owned(), planned, at_px, sd_px: CLICK_SD })
}

fn on_canvas(place: PhotoPoint, plan: &Plan) -> Result<CanvasPoint> {
    let placing = plan.placing().ok_or_else(|| {
        anyhow!("--landmarks: The painting has no reference, so that no landmark has a planned place. Give it a photo first.")
    })?;
    Ok(placing.to_canvas(place))
}

/// Where the plan has a landmark of this name.
fn known(name: &str, plan: &Plan) -> Result<CanvasPoint> {
    let Some(place) = plan.landmark(&LandmarkName::from(name)) else {
        bail!(
            "--landmarks: The plan does not know where “{name}” belongs. Place it in the studio, or put its place in the \
             reference before it, as in “{name}:990,1496=1120,1480”."
        )
    };
    on_canvas(place, plan)
}

fn pair(text: &str) -> Option<[f64; 2]> {
    let (x, y) = text.split_once(',')?;
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    Some([number(x)?, number(y)?])
}
