//! A scene put on paper: SVG, or PNG.

use super::scene::Scene;

mod png;

mod svg;

pub use png::{Easel, png};
pub use svg::svg;

/// Why a scene could not be painted: always a fault of the program, never of the data.
#[derive(Debug, thiserror::Error)]
pub enum PaintError {
    /// The embedded font cannot be used.
    #[error("the embedded font cannot be used")]
    Font,
    /// The drawing surface refused.
    #[error("the drawing could not be painted: {0}")]
    Surface(String),
    /// Larger than any chart may be.
    #[error("the drawing of {0} by {1} units is too large to paint")]
    Size(f64, f64),
}

/// Largest side in units: every analyte of a site below another on a telephone takes less than half.
const LARGEST: f64 = 20_000.0;

/// Width and height in steps, so many a unit.
fn size(scene: &Scene, steps: f64) -> Result<(u32, u32), PaintError> {
    let sound = |side: f64| (1.0..=LARGEST).contains(&side);
    if !sound(scene.width) || !sound(scene.height) {
        return Err(PaintError::Size(scene.width, scene.height));
    }
    Ok(((scene.width * steps).round() as u32, (scene.height * steps).round() as u32))
}

fn refused(error: impl std::fmt::Display) -> PaintError {
    PaintError::Surface(error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_without_height_or_too_large_is_refused_before_memory_is_taken() {
        let mut scene = Scene::new(960.0, "", "");
        assert!(matches!(svg(&scene), Err(PaintError::Size(..))));
        scene.height = 19_000.0;
        assert!(svg(&scene).is_ok());
        assert!(matches!(png(&scene), Err(PaintError::Size(..))));
        scene.height = f64::NAN;
        assert!(matches!(png(&scene), Err(PaintError::Size(..))));
    }
}
