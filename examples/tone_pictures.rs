//! Makes the pictures of `docs/tone.md`: the same view of a room under each control, less and more.
//!
//! ```text
//! cargo run --release --example tone_pictures -- sample-tour/shots/hall.jpg docs/pictures
//! ```

use enfilade::darkroom::tone::develop;
use enfilade::darkroom::{Tone, WhiteBalance};
use enfilade::picture::linear::LinearRows;
use enfilade::picture::{Chroma, open_linear};
use enfilade::sphere::Rotation;
use enfilade::tiles::{Source, StillView, still};
use std::error::Error;
use std::path::Path;

/// The kitchen through the door of the hall, its window, and a lamp's corner.
const VIEW: StillView =
    StillView { longitude_deg: -20.0, elevation_deg: -8.0, field_of_view_deg: 95.0, width: 480, height: 320 };

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [shot, folder] = arguments.as_slice() else { return Err("give a shot and a folder for the pictures".into()) };
    let light = open_linear(&std::fs::read(shot)?)?;
    std::fs::create_dir_all(folder)?;
    for (name, tone) in tones() {
        write(&*light, &tone, &Path::new(folder).join(format!("tone-{name}.jpg")))?;
    }
    Ok(())
}

fn write(light: &dyn LinearRows, tone: &Tone, path: &Path) -> std::io::Result<()> {
    let source = Source::new(develop(light, tone, None).ycc(Chroma::Half));
    std::fs::write(path, still(&source, Rotation::IDENTITY, VIEW))
}

/// Each control by itself, by the ending of its picture's name.
fn tones() -> Vec<(&'static str, Tone)> {
    let as_it_came = Tone::default();
    let lit_by = |temperature_k: f64, tint: f64| Tone {
        white_balance: WhiteBalance::Light { temperature_k, tint },
        ..as_it_came
    };
    vec![
        ("none", as_it_came),
        ("exposure-less", Tone { exposure_ev: -1.0, ..as_it_came }),
        ("exposure-more", Tone { exposure_ev: 1.0, ..as_it_came }),
        ("temperature-less", lit_by(4500.0, 0.0)),
        ("temperature-more", lit_by(9000.0, 0.0)),
        ("tint-less", lit_by(6504.0, -15.0)),
        ("tint-more", lit_by(6504.0, 15.0)),
        ("highlights-less", Tone { highlights: -1.0, ..as_it_came }),
        ("highlights-more", Tone { highlights: 1.0, ..as_it_came }),
        ("shadows-less", Tone { shadows: -1.0, ..as_it_came }),
        ("shadows-more", Tone { shadows: 1.0, ..as_it_came }),
        ("contrast-less", Tone { contrast: -0.6, ..as_it_came }),
        ("contrast-more", Tone { contrast: 0.6, ..as_it_came }),
        ("local-contrast-less", Tone { local_contrast: -1.0, ..as_it_came }),
        ("local-contrast-more", Tone { local_contrast: 1.0, ..as_it_came }),
        ("saturation-less", Tone { saturation: -0.7, ..as_it_came }),
        ("saturation-more", Tone { saturation: 0.7, ..as_it_came }),
        ("sharpening-more", Tone { sharpening: 1.0, ..as_it_came }),
    ]
}
