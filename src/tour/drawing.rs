//! A plan's drawing: its own units, from its headers alone.

use crate::problem::Problem;
use image::ImageReader;
use std::io::{Cursor, Read};
use std::path::Path;

/// Largest drawing that is looked at, in bytes. Visitors load it whole, so that far less is wise.
const MAX_BYTES: u64 = 64 * 1024 * 1024;
/// Most elements and attributes of an SVG drawing.
const MAX_XML_NODES: u32 = 2_000_000;
const SVG_NAMESPACE: &str = "http://www.w3.org/2000/svg";

/// The extent of a drawing in its own units, y down, and what somebody should know about it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Extent {
    /// Left and top.
    pub origin: [f64; 2],
    /// Width and height, both above 0.
    pub size: [f64; 2],
    /// What browsers will not do with it, without a place yet.
    pub warnings: Vec<Problem>,
}

/// Reads an SVG's viewBox (else its width and height), or a PNG's or JPEG's size after EXIF orientation.
///
/// # Errors
/// What is wrong with the file, without a place yet.
pub fn extent(path: &Path) -> Result<Extent, Problem> {
    let bytes = read_bounded(path)?;
    let picture = match bytes.as_slice() {
        [0x89, b'P', b'N', b'G', ..] => Some(image::ImageFormat::Png),
        [0xff, 0xd8, ..] => Some(image::ImageFormat::Jpeg),
        _ => None,
    };
    match picture {
        Some(format) => picture_extent(&bytes, format),
        None => svg_extent(&bytes),
    }
}

fn read_bounded(path: &Path) -> Result<Vec<u8>, Problem> {
    let cannot = |error| Problem::error(format!("the drawing cannot be read ({error})"), "make the file readable");
    let mut bytes = Vec::new();
    std::fs::File::open(path).map_err(cannot)?.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() as u64 > MAX_BYTES {
        let what = format!("the drawing is larger than {} MiB", MAX_BYTES / 1024 / 1024);
        return Err(Problem::error(what, "save a smaller one: visitors load it whole"));
    }
    Ok(bytes)
}

fn picture_extent(bytes: &[u8], format: image::ImageFormat) -> Result<Extent, Problem> {
    let broken =
        |error| Problem::error(format!("the drawing is damaged ({error})"), "save it again as PNG, JPEG or SVG");
    let (width, height) = ImageReader::with_format(Cursor::new(bytes), format).into_dimensions().map_err(broken)?;
    let turned = matches!(orientation(bytes), 5..=8);
    let (width, height) = if turned { (height, width) } else { (width, height) };
    if width == 0 || height == 0 {
        return Err(Problem::error("the drawing has no extent", "save it again as PNG, JPEG or SVG"));
    }
    Ok(Extent { origin: [0.0, 0.0], size: [width.into(), height.into()], warnings: Vec::new() })
}

/// EXIF orientation (tag 274, CIPA DC-008): 1 where the file says nothing usable.
fn orientation(bytes: &[u8]) -> u32 {
    let exif = exif::Reader::new().read_from_container(&mut Cursor::new(bytes));
    let field = exif.ok().and_then(|exif| {
        exif.get_field(exif::Tag::Orientation, exif::In::PRIMARY).and_then(|field| field.value.get_uint(0))
    });
    field.unwrap_or(1)
}

fn svg_extent(bytes: &[u8]) -> Result<Extent, Problem> {
    let not_svg =
        |why: String| Problem::error(format!("the drawing is no SVG, PNG or JPEG ({why})"), "save it as one of these");
    let text = std::str::from_utf8(bytes).map_err(|error| not_svg(error.to_string()))?;
    // Drawing programs write document types; entities are bounded by the reader.
    let options = roxmltree::ParsingOptions { allow_dtd: true, nodes_limit: MAX_XML_NODES, ..Default::default() };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let document =
        roxmltree::Document::parse_with_options(text, options).map_err(|error| not_svg(error.to_string()))?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(not_svg(format!("its root is `{}`", root.tag_name().name())));
    }
    if root.tag_name().namespace() != Some(SVG_NAMESPACE) {
        let what = "the drawing does not say that it is SVG, and browsers will not show it";
        return Err(Problem::error(what, format!("write `xmlns=\"{SVG_NAMESPACE}\"` in its `svg` element")));
    }
    let (origin, size) = frame(root)?;
    Ok(Extent { origin, size, warnings: warnings(&document, size) })
}

fn frame(root: roxmltree::Node<'_, '_>) -> Result<([f64; 2], [f64; 2]), Problem> {
    let length = |name| root.attribute(name).and_then(pixels);
    if let Some(written) = root.attribute("viewBox") {
        let numbers: Vec<f64> =
            written.split([' ', ',', '\t', '\n', '\r']).filter(|part| !part.is_empty()).flat_map(str::parse).collect();
        return match numbers[..] {
            [left, top, width, height] if usable(width) && usable(height) && left.is_finite() && top.is_finite() => {
                Ok(([left, top], [width, height]))
            }
            _ => Err(Problem::error(
                format!("the drawing's viewBox `{written}` is not four usable numbers"),
                "write left, top, width and height, such as `0 0 800 600`",
            )),
        };
    }
    match (length("width"), length("height")) {
        (Some(width), Some(height)) => Ok(([0.0, 0.0], [width, height])),
        _ => Err(Problem::error("the drawing has neither a viewBox nor a width and height", "give it a viewBox")),
    }
}

fn usable(length: f64) -> bool {
    length.is_finite() && length > 0.0
}

/// A length in CSS pixels (CSS Values 4, section 6.2: 96 pixels an inch); nothing for percent and font sizes.
fn pixels(written: &str) -> Option<f64> {
    const UNITS: [(&str, f64); 6] =
        [("px", 1.0), ("in", 96.0), ("cm", 96.0 / 2.54), ("mm", 96.0 / 25.4), ("pt", 96.0 / 72.0), ("pc", 16.0)];
    let written = written.trim();
    let unit = UNITS.iter().find(|(unit, _)| written.ends_with(unit));
    let (number, factor) = unit.map_or((written, 1.0), |(unit, factor)| (written.trim_end_matches(unit), *factor));
    number.trim().parse::<f64>().ok().map(|length| length * factor).filter(|length| usable(*length))
}

/// What a browser does not do with a drawing that it shows as a picture, and a shape that would displace marks.
fn warnings(document: &roxmltree::Document<'_>, size: [f64; 2]) -> Vec<Problem> {
    let mut warnings = Vec::new();
    let elements = || document.descendants().filter(roxmltree::Node::is_element);
    let mut attributes = elements().flat_map(|element| element.attributes());
    let script = elements().any(|element| element.tag_name().name() == "script")
        || attributes.any(|attribute| attribute.name().starts_with("on"));
    if script {
        warnings.push(Problem::warning("the drawing holds a script, which will not run", "delete it from the drawing"));
    }
    let is_outside = |value: &str| !value.is_empty() && !value.starts_with('#') && !value.starts_with("data:");
    let drawn = elements().filter(|element| element.tag_name().name() != "a");
    let outside = drawn
        .flat_map(|element| element.attributes())
        .find(|attribute| attribute.name() == "href" && is_outside(attribute.value().trim()));
    if let Some(attribute) = outside {
        let what = format!("the drawing refers to `{}`, which will not be loaded", attribute.value());
        warnings.push(Problem::warning(what, "put it into the drawing itself"));
    }
    let shown = ["width", "height"].map(|name| document.root_element().attribute(name).and_then(pixels));
    if let [Some(width), Some(height)] = shown {
        let stretch = (width / height) / (size[0] / size[1]);
        if !(0.99..=1.01).contains(&stretch) {
            let what = "the drawing's width and height have another shape than its viewBox";
            warnings
                .push(Problem::warning(what, "delete its width and height, or marks will stand beside their place"));
        }
    }
    warnings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn svg(attributes: &str, inside: &str) -> Result<Extent, Problem> {
        svg_extent(format!("<?xml version=\"1.0\"?><svg {attributes}>{inside}</svg>").as_bytes())
    }

    #[test]
    fn an_svg_drawing_counts_in_viewbox_units_else_in_pixels() {
        let xmlns = format!("xmlns=\"{SVG_NAMESPACE}\"");
        let read = svg(&format!("{xmlns} viewBox='-10, 5 800 600'"), "").unwrap();
        assert_eq!((read.origin, read.size), ([-10.0, 5.0], [800.0, 600.0]));
        let read = svg(&format!("{xmlns} width='2in' height='72pt'"), "").unwrap();
        assert_eq!((read.origin, read.size), ([0.0, 0.0], [192.0, 96.0]));
        for bad in ["viewBox='0 0 800'", "viewBox='0 0 -1 5'", "viewBox='0 0 nan 5'", "width='100%' height='50%'", ""] {
            assert!(svg(&format!("{xmlns} {bad}"), "").is_err(), "{bad}");
        }
        assert!(svg("viewBox='0 0 8 6'", "").unwrap_err().what.contains("browsers will not show"));
    }

    #[test]
    fn what_a_browser_leaves_out_of_a_picture_is_a_warning() {
        let xmlns = format!("xmlns=\"{SVG_NAMESPACE}\" viewBox='0 0 8 6'");
        let count =
            |attributes: &str, inside: &str| svg(&format!("{xmlns} {attributes}"), inside).unwrap().warnings.len();
        assert_eq!(count("", "<use href='#a'/><a href='https://example.org/'/>"), 0);
        assert_eq!(count("", "<script>1</script>"), 1);
        assert_eq!(count("onload='x()'", "<image href='logo.png'/>"), 2);
        assert_eq!(count("width='80' height='80'", ""), 1);
        assert_eq!(count("width='80' height='60'", ""), 0);
    }

    #[test]
    fn entities_that_grow_without_end_are_refused() {
        let mut text = String::from("<!DOCTYPE svg [<!ENTITY a 'aaaaaaaaaa'>");
        for (name, inner) in "bcdefghij".chars().zip("abcdefghi".chars()) {
            text += &format!("<!ENTITY {name} '{}'>", format!("&{inner};").repeat(10));
        }
        text += &format!("]><svg xmlns='{SVG_NAMESPACE}' viewBox='0 0 8 6'>&j;</svg>");
        assert!(svg_extent(text.as_bytes()).is_err());
    }
}
