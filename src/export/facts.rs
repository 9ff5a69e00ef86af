//! What an exported file says of itself: XMP, EXIF and the colour profile.
//!
//! Of the shot's EXIF only these go along: make and model of the camera, time of capture with its offset, exposure (time, aperture,
//! sensitivity, bias, programme, metering, light source, flash, white balance), focal length, the name of the lens, and whose
//! picture it is (artist, copyright). Everything else stays behind: position, serial numbers, owner's name, maker note, comments, thumbnail.

use exif::{Field, In, Tag, Value};
use std::io::Cursor;

/// The list above.
const KEPT: [Tag; 21] = [
    Tag::Make,
    Tag::Model,
    Tag::Artist,
    Tag::Copyright,
    Tag::DateTimeOriginal,
    Tag::SubSecTimeOriginal,
    Tag::OffsetTimeOriginal,
    Tag::ExposureTime,
    Tag::FNumber,
    Tag::ExposureProgram,
    Tag::PhotographicSensitivity,
    Tag::SensitivityType,
    Tag::ExposureBiasValue,
    Tag::MeteringMode,
    Tag::LightSource,
    Tag::Flash,
    Tag::FocalLength,
    Tag::FocalLengthIn35mmFilm,
    Tag::WhiteBalance,
    Tag::LensMake,
    Tag::LensModel,
];

/// A text that is longer is no camera's.
const LONGEST_TEXT_BYTES: usize = 1024;

/// Stands in every file that is exported.
const CREATOR: &str = concat!("Enfilade ", env!("CARGO_PKG_VERSION"));

/// What a file says of itself. Of the shot's EXIF it keeps make, model and lens, the time, the exposure, and whose picture it is.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    /// What was kept of the shot's EXIF, and orientation.
    exif: Vec<Field>,
    /// Set on a whole sphere only.
    sphere: Option<SphereFacts>,
}

#[derive(Clone, Copy, Debug)]
struct SphereFacts {
    width: u32,
    heading_deg: Option<f64>,
}

impl Facts {
    /// For a whole sphere of that width, from the bytes of the shot that its picture was made of. `heading_deg` is where its
    /// centre column faces, 0 ≤ heading < 360, where north is known.
    pub fn of_sphere(shot: &[u8], width: u32, heading_deg: Option<f64>) -> Facts {
        Facts { exif: kept_exif(shot), sphere: Some(SphereFacts { width, heading_deg }) }
    }

    /// The same without what only a whole sphere says.
    pub fn of_flat_picture(&self) -> Facts {
        Facts { exif: self.exif.clone(), sphere: None }
    }

    /// What was kept.
    pub(super) fn fields(&self) -> &[Field] {
        &self.exif
    }

    /// As an EXIF block, a TIFF structure; `None` where nothing was kept.
    pub(super) fn exif_block(&self) -> Option<Vec<u8>> {
        let mut writer = exif::experimental::Writer::new();
        self.exif.iter().for_each(|field| writer.push_field(field));
        let mut block = Cursor::new(Vec::new());
        writer.write(&mut block, false).ok()?;
        Some(block.into_inner())
    }

    /// An XMP packet. A sphere's has every required field of the GPano schema.
    pub(super) fn xmp(&self) -> String {
        let mut fields = format!("\n      xmp:CreatorTool=\"{CREATOR}\"");
        if let Some(SphereFacts { width, heading_deg }) = self.sphere {
            let height = width / 2;
            let mut say = |name: &str, value: &str| fields += &format!("\n      GPano:{name}=\"{value}\"");
            say("ProjectionType", "equirectangular");
            say("UsePanoramaViewer", "True");
            for (name, value) in [
                ("FullPanoWidthPixels", width),
                ("FullPanoHeightPixels", height),
                ("CroppedAreaImageWidthPixels", width),
                ("CroppedAreaImageHeightPixels", height),
                ("CroppedAreaLeftPixels", 0),
                ("CroppedAreaTopPixels", 0),
            ] {
                say(name, &value.to_string());
            }
            if let Some(heading_deg) = heading_deg {
                say("PoseHeadingDegrees", &heading_text(heading_deg));
            }
            say("PosePitchDegrees", "0");
            say("PoseRollDegrees", "0");
        }
        format!(
            "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
             <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n  \
             <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n    \
             <rdf:Description rdf:about=\"\"\n      \
             xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n      \
             xmlns:GPano=\"http://ns.google.com/photos/1.0/panorama/\"{fields}/>\n  \
             </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>"
        )
    }

    /// A profile that says sRGB.
    pub(super) fn profile() -> Vec<u8> {
        crate::picture::srgb_profile()
    }
}

/// At most two decimals, as a compass is no finer; never 360.
fn heading_text(heading_deg: f64) -> String {
    let hundredths = (heading_deg * 100.0).round() % 36_000.0;
    format!("{}", hundredths / 100.0)
}

/// Whether a file was exported from here and may be replaced.
pub fn bears_our_mark(bytes: &[u8]) -> bool {
    const MARK: &[u8] = b"xmp:CreatorTool=\"Enfilade ";
    super::radiance::bears_our_mark(bytes) || bytes.windows(MARK.len()).any(|window| window == MARK)
}

/// What the list lets through. A shot without EXIF, or with damaged EXIF, gives nothing but the orientation.
fn kept_exif(shot: &[u8]) -> Vec<Field> {
    let read = exif::Reader::new().read_from_container(&mut Cursor::new(shot)).ok();
    let found = KEPT.iter().filter_map(|&tag| read.as_ref()?.get_field(tag, In::PRIMARY));
    let mut kept: Vec<Field> = found.filter(|field| is_sound(&field.value)).cloned().collect();
    kept.push(Field { tag: Tag::Orientation, ifd_num: In::PRIMARY, value: Value::Short(vec![1]) });
    kept
}

/// A value of a kind that the kept tags have, and not absurdly long.
fn is_sound(value: &Value) -> bool {
    match value {
        Value::Ascii(lines) => lines.iter().map(Vec::len).sum::<usize>() <= LONGEST_TEXT_BYTES,
        Value::Short(values) => values.len() <= 4,
        Value::Long(values) => values.len() <= 4,
        Value::Rational(values) => values.len() <= 4,
        Value::SRational(values) => values.len() <= 4,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heading_is_never_360() {
        for (heading_deg, text) in [(0.0, "0"), (92.0, "92"), (249.999, "250"), (359.999, "0"), (12.345, "12.35")] {
            assert_eq!(heading_text(heading_deg), text);
        }
    }

    #[test]
    fn the_profile_is_always_the_same_and_is_srgb() {
        let profile = Facts::profile();
        assert_eq!(profile, Facts::profile());
        // ICC.1:2022 section 7.2.8: the first of January 2000, not the moment of making.
        assert_eq!(profile[24..36], [7, 208, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0]);
        let read = moxcms::ColorProfile::new_from_slice(&profile).unwrap();
        assert_eq!(read.red_colorant, moxcms::ColorProfile::new_srgb().red_colorant);
    }

    #[test]
    fn a_shot_that_says_nothing_gives_only_the_orientation() {
        for shot in [&b""[..], b"not a picture"] {
            let facts = Facts::of_sphere(shot, 512, None);
            assert_eq!(facts.exif.len(), 1);
            assert!(!facts.xmp().contains("PoseHeadingDegrees"));
        }
    }
}
