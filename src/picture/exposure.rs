//! How a shot was exposed, as its EXIF says.

use exif::{In, Tag, Value};
use std::io::Cursor;

/// Time, aperture and sensitivity of a shot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Seconds, above 0.
    pub time_s: f64,
    /// Focal length by the diameter of the aperture, above 0.
    pub f_number: f64,
    /// ISO, above 0.
    pub sensitivity: f64,
}

impl Exposure {
    /// Exposure value at ISO 100: log₂(N²/t) − log₂(S/100), by the definitions of APEX (CIPA DC-008, annex C). One more means a scene
    /// twice as bright, or half the light taken in.
    pub fn ev100(&self) -> f64 {
        libm::log2(self.f_number * self.f_number / self.time_s) - libm::log2(self.sensitivity / 100.0)
    }
}

/// Reads a file's exposure; `None` where it does not say all three, or says nonsense. A lens without an iris, which writes no f-number,
/// counts as having one that does not change.
pub fn read_exposure(bytes: &[u8]) -> Option<Exposure> {
    let read = exif::Reader::new().read_from_container(&mut Cursor::new(bytes)).ok()?;
    let number = |tag: Tag| {
        let value = &read.get_field(tag, In::PRIMARY)?.value;
        let number = match value {
            Value::Rational(values) => values.first()?.to_f64(),
            _ => f64::from(value.get_uint(0)?),
        };
        Some(number).filter(|number| number.is_finite() && *number > 0.0)
    };
    Some(Exposure {
        time_s: number(Tag::ExposureTime)?,
        f_number: number(Tag::FNumber).unwrap_or(1.0),
        sensitivity: number(Tag::PhotographicSensitivity)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published by definition (sunny 16) and computed by it; the file says how.
    #[test]
    fn exposure_values_are_those_of_apex() {
        let table = include_str!("../../tests/fixtures/reference/exposure.csv");
        let mut lines = table.lines().filter(|line| !line.starts_with('#'));
        let names: Vec<&str> = lines.next().unwrap().split(',').collect();
        let column = |name: &str| names.iter().position(|column| *column == name).unwrap();
        let [n, t, iso, ev100] = ["f_number", "seconds", "iso", "EV100"].map(column);
        let mut rows = 0;
        for line in lines {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |index: usize| cells[index].parse::<f64>().unwrap();
            let exposure = Exposure { time_s: number(t), f_number: number(n), sensitivity: number(iso) };
            assert!((exposure.ev100() - number(ev100)).abs() < 1e-4, "{line}: {}", exposure.ev100());
            rows += 1;
        }
        assert!(rows >= 7);
    }

    /// The example's bracket says −2, 0 and +2 stops.
    #[test]
    fn a_brackets_steps_are_read() {
        let shots = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-tour/shots/sitting-room-door-end-bracket-");
        let evs = [1, 2, 3].map(|n| read_exposure(&std::fs::read(format!("{shots}{n}.jpg")).unwrap()).unwrap().ev100());
        assert!((evs[0] - evs[1] - 2.0).abs() < 0.01 && (evs[1] - evs[2] - 2.0).abs() < 0.01, "{evs:?}");
        assert_eq!(read_exposure(b"no picture"), None);
    }
}
