//! What messages say besides where the painter works by command: the studio's page has the same messages, and fields and
//! drawings for what is an option here.

use check::Unfit;
use plan::{CameraError, CanvasError, PlanError};

/// What to do at the command about an error, as a sentence; nothing where the message says it all.
pub(crate) fn advice(error: &anyhow::Error) -> Option<&'static str> {
    if let Some(PlanError::Canvas(CanvasError::NoOutline)) = error.downcast_ref() {
        return Some(
            "The six stand in this order: top, right, bottom, left, the diagonal down from the top left, the one up from the bottom left.",
        );
    }
    if let Some(Unfit::OtherWayRound { .. }) = error.downcast_ref() {
        return Some("Begin --corners with the canvas's own top left.");
    }
    None
}

/// Why the camera's distance is not told, and which option helps.
pub(crate) fn no_distance(error: &CameraError) -> String {
    match error {
        CameraError::NoFocal => format!("{error} (--focal 50)"),
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use anyhow::Context as _;

    #[test]
    fn options_are_named_at_the_command_and_not_in_the_message_itself() {
        assert!(no_distance(&CameraError::NoFocal).ends_with("(--focal 50)"));
        assert!(!CameraError::NoFocal.to_string().contains("--"));
        let crossed = PlanError::Canvas(CanvasError::NoOutline);
        assert!(!crossed.to_string().contains("command"));
        let error = Err::<(), _>(crossed).context("--measured").unwrap_err();
        assert!(advice(&error).unwrap().contains("in this order: top, right, bottom, left"));
        assert_eq!(advice(&anyhow::anyhow!("The disk is full.")), None);
    }
}
