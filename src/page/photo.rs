//! The guide picture that lies under the drawing, and where it lies: two files beside the sketch.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::ask::PHOTO_BYTES;
use super::store::{SAFE_PHOTO, cannot};
use super::trouble::Trouble;
use crate::disk;

/// Where a picture lies under the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    x_m: f64,
    y_m: f64,
    scale_m_per_px: f64,
    angle: f64,
    opacity: f64,
}

impl Place {
    /// Reads a placement; nothing if a number is out of its range.
    pub fn read(bytes: &[u8]) -> Option<Place> {
        let place: Place = serde_json::from_slice(bytes).ok()?;
        let is_sound = place.scale_m_per_px > 0.0 && (0.0..=1.0).contains(&place.opacity);
        is_sound.then_some(place)
    }
}

/// The kind of a picture by its first bytes; nothing for what is no picture that browsers show.
pub fn kind(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
        Some("image/jpeg")
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Some("image/webp")
    } else {
        None
    }
}

/// The picture's file, whatever its kind.
pub fn picture(sketch: &Path) -> PathBuf {
    sketch.with_extension("photo.jpg")
}

/// The placement's file.
pub fn place(sketch: &Path) -> PathBuf {
    sketch.with_extension("photo.json")
}

/// Reads one of the two; nothing if it is not there.
///
/// # Errors
///
/// It is there and cannot be read, or is no plain file of the size that the page writes.
pub fn read(path: &Path) -> Result<Option<Vec<u8>>, Trouble> {
    let found = match fs::metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(cannot("read", path, &error, SAFE_PHOTO)),
        Ok(found) => found,
    };
    // A pipe would keep the page waiting for ever.
    if !found.is_file() || found.len() > PHOTO_BYTES as u64 {
        return Err(Trouble::new(
            format!("`{}` is no guide picture of this page", path.display()),
            "move it away, or give it another name",
        ));
    }
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(cannot("read", path, &error, SAFE_PHOTO)),
    }
}

/// Writes one of the two.
///
/// # Errors
///
/// It cannot be written.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    disk::replace(path, bytes).map_err(|error| cannot("written", path, &error, SAFE_PHOTO))
}

/// Removes both.
///
/// # Errors
///
/// One is there and cannot be removed.
pub fn remove(sketch: &Path) -> Result<(), Trouble> {
    for path in [picture(sketch), place(sketch)] {
        match fs::remove_file(&path) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(cannot("removed", &path, &error, SAFE_PHOTO));
            }
            _ => {}
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_are_known_by_their_first_bytes() {
        assert_eq!(kind(&[0xff, 0xd8, 0xff, 0xe0]), Some("image/jpeg"));
        assert_eq!(kind(b"\x89PNG\r\n\x1a\n...."), Some("image/png"));
        assert_eq!(kind(b"RIFF....WEBPVP8 "), Some("image/webp"));
        for other in [&b"<svg xmlns"[..], b"RIFF....WAVE", b"GIF89a", b"RIFF", b""] {
            assert_eq!(kind(other), None);
        }
    }

    #[test]
    fn what_the_page_cannot_have_written_is_not_read() {
        let folder = std::env::temp_dir().join(format!("ductseam-photo-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a scratch folder");
        let path = folder.join("house.photo.jpg");
        assert_eq!(read(&path), Ok(None));
        let file = fs::File::create(&path).expect("made");
        file.set_len(PHOTO_BYTES as u64).expect("a sparse file");
        assert_eq!(read(&path).map(|found| found.is_some()), Ok(true));
        file.set_len(PHOTO_BYTES as u64 + 1).expect("a sparse file");
        assert!(read(&path).is_err());
        fs::remove_file(&path).expect("removed");
        fs::create_dir(&path).expect("made");
        assert!(read(&path).is_err());
        fs::remove_dir_all(&folder).expect("removed");
    }

    #[test]
    fn placements_out_of_range_are_refused() {
        let with = |scale: &str, opacity: &str| {
            Place::read(
                format!(
                    r#"{{"x_m":1,"y_m":-2.5,"scale_m_per_px":{scale},"angle":0.1,"opacity":{opacity}}}"#
                )
                .as_bytes(),
            )
        };
        assert!(with("0.01", "0.5").is_some());
        for (scale, opacity) in [("0", "0.5"), ("-1", "0.5"), ("0.01", "1.5"), ("1e999", "1")] {
            assert_eq!(with(scale, opacity), None);
        }
    }
}
