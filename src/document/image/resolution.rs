//! How fine a picture says it is.

/// What a scan can be; cameras write 72 without meaning it.
const BELIEVED: std::ops::RangeInclusive<f32> = 100.0..=1_200.0;

/// Dots an inch of a PNG (chunk `pHYs`) or a JPEG (segment `JFIF`), where the file gives a number a scan
/// can have and it is the same both ways.
pub(super) fn dots_an_inch(bytes: &[u8]) -> Option<f32> {
    png(bytes).or_else(|| jpeg(bytes)).and_then(believed)
}

/// A resolution a scan can have.
pub(super) fn believed(dots: f32) -> Option<f32> {
    BELIEVED.contains(&dots).then_some(dots)
}

fn number(bytes: &[u8], at: usize, length: usize) -> Option<u32> {
    let digits = bytes.get(at..at.checked_add(length)?)?;
    Some(digits.iter().fold(0, |sum, digit| sum << 8 | u32::from(*digit)))
}

// Resolutions are small whole numbers.
#[allow(clippy::cast_precision_loss)]
fn png(bytes: &[u8]) -> Option<f32> {
    let mut at = bytes.starts_with(b"\x89PNG\r\n\x1a\n").then_some(8_usize)?;
    loop {
        let length = usize::try_from(number(bytes, at, 4)?).ok()?;
        match bytes.get(at + 4..at + 8)? {
            b"pHYs" => {
                let (across, down, unit) =
                    (number(bytes, at + 8, 4)?, number(bytes, at + 12, 4)?, bytes.get(at + 16)?);
                // Unit 1 is the metre.
                return (across == down && *unit == 1).then_some((across as f32 * 0.0254).round());
            }
            b"IDAT" | b"IEND" => return None,
            _ => at = at.checked_add(length)?.checked_add(12)?,
        }
    }
}

#[allow(clippy::cast_precision_loss)]
fn jpeg(bytes: &[u8]) -> Option<f32> {
    if !bytes.starts_with(b"\xFF\xD8\xFF\xE0") || bytes.get(6..11)? != b"JFIF\0" {
        return None;
    }
    let (unit, across, down) = (bytes.get(13)?, number(bytes, 14, 2)?, number(bytes, 16, 2)?);
    match unit {
        _ if across != down => None,
        1 => Some(across as f32),
        2 => Some((across as f32 * 2.54).round()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_kinds_say_how_fine_they_are() {
        let jpeg = b"\xFF\xD8\xFF\xE0\0\x10JFIF\0\x01\x01\x01\x01\x2C\x01\x2C\0\0";
        assert_eq!(dots_an_inch(jpeg), Some(300.0));
        let png = b"\x89PNG\r\n\x1a\n\0\0\0\x09pHYs\0\0\x1E\xC3\0\0\x1E\xC3\x01";
        assert_eq!(dots_an_inch(png), Some(200.0));
    }

    #[test]
    fn a_camera_is_not_believed() {
        assert_eq!(dots_an_inch(b"\xFF\xD8\xFF\xE0\0\x10JFIF\0\x01\x01\x01\0\x48\0\x48\0\0"), None);
        assert_eq!(dots_an_inch(b"\x89PNG\r\n\x1a\n\xFF\xFF\xFF\xFFpHYs"), None);
    }
}
