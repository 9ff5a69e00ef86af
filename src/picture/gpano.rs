//! The GPano fields of an XMP packet: where a picture lies in the sphere, and how the camera stood.
//!
//! Writers differ: the same field occurs as an RDF attribute and as an RDF element, whole numbers as `4096`, `4096.0`
//! or `04096`, the namespace under any prefix. All of these are taken. A packet that is no XML is treated as absent:
//! it is of no use, but the picture is.

use crate::sphere::Heading;
use roxmltree::{Document, ParsingOptions};

/// "Photo Sphere XMP Metadata", the namespace published for it.
const NAMESPACE: &str = "http://ns.google.com/photos/1.0/panorama/";
/// A packet with more elements and attributes than this is none that a camera wrote.
const MOST_NODES: u32 = 50_000;

/// What the fields say; `None` and 0 where they are silent or out of range.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct GPano {
    pub projection: Option<String>,
    pub crop: Option<Crop>,
    pub pose_heading: Option<Heading>,
    pub pose_pitch_deg: f64,
    pub pose_roll_deg: f64,
}

/// The six crop fields, in pixels of the picture as it was first written. All of them, or none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Crop {
    pub full_width: f64,
    pub full_height: f64,
    pub width: f64,
    pub height: f64,
    pub left: f64,
    pub top: f64,
}

impl GPano {
    /// Reads a packet.
    ///
    /// # Errors
    /// Not XML, not UTF-8, or a document type (which no XMP packet has, and which entity bombs need): why.
    pub fn parse(packet: &[u8]) -> Result<GPano, String> {
        let text = std::str::from_utf8(packet).map_err(|error| error.to_string())?;
        let text = text.trim_start_matches('\u{FEFF}').trim_end_matches(['\0', ' ', '\n', '\r', '\t']);
        let options = ParsingOptions { allow_dtd: false, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
        let document = Document::parse_with_options(text, options).map_err(|error| error.to_string())?;
        let field = |name: &str| find(&document, name);
        let number =
            |name: &str| field(name).and_then(|text| text.parse().ok()).filter(|value: &f64| value.is_finite());
        Ok(GPano {
            projection: field("ProjectionType").map(str::to_owned),
            crop: Crop::from_fields(number),
            pose_heading: number("PoseHeadingDegrees").and_then(|degrees| Heading::new(degrees).ok()),
            pose_pitch_deg: number("PosePitchDegrees").filter(|degrees| degrees.abs() <= 90.0).unwrap_or(0.0),
            pose_roll_deg: number("PoseRollDegrees").filter(|degrees| degrees.abs() <= 180.0).unwrap_or(0.0),
        })
    }
}

impl Crop {
    fn from_fields(number: impl Fn(&str) -> Option<f64>) -> Option<Crop> {
        Some(Crop {
            full_width: number("FullPanoWidthPixels")?,
            full_height: number("FullPanoHeightPixels")?,
            width: number("CroppedAreaImageWidthPixels")?,
            height: number("CroppedAreaImageHeightPixels")?,
            left: number("CroppedAreaLeftPixels")?,
            top: number("CroppedAreaTopPixels")?,
        })
    }
}

/// The first value of a field, as an attribute of any element or as an element's text.
fn find<'a>(document: &'a Document, name: &str) -> Option<&'a str> {
    document.descendants().filter(|node| node.is_element()).find_map(|node| {
        let value = if node.has_tag_name((NAMESPACE, name)) { node.text() } else { node.attribute((NAMESPACE, name)) };
        value.map(str::trim).filter(|value| !value.is_empty())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packet(description: &str) -> Vec<u8> {
        format!(
            "<?xpacket begin='\u{FEFF}' id='W5M0MpCehiHzreSzNTczkc9d'?><x:xmpmeta xmlns:x='adobe:ns:meta/'>\
             <rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>{description}</rdf:RDF></x:xmpmeta>\
             <?xpacket end='w'?>\n\0"
        )
        .into_bytes()
    }

    #[test]
    fn attributes_and_elements_say_the_same() {
        let names = "xmlns:GPano='http://ns.google.com/photos/1.0/panorama/'";
        let attributes = format!(
            "<rdf:Description rdf:about='' {names} GPano:ProjectionType='equirectangular' \
             GPano:PoseHeadingDegrees='087.50' GPano:PosePitchDegrees='-2.5' GPano:PoseRollDegrees='1' \
             GPano:FullPanoWidthPixels='8000' GPano:FullPanoHeightPixels='4000.0' \
             GPano:CroppedAreaImageWidthPixels='4000' GPano:CroppedAreaImageHeightPixels='02000' \
             GPano:CroppedAreaLeftPixels='0' GPano:CroppedAreaTopPixels='1000'/>"
        );
        let elements = "<rdf:Description xmlns:p='http://ns.google.com/photos/1.0/panorama/'>\
             <p:ProjectionType> equirectangular\n</p:ProjectionType><p:PoseHeadingDegrees>87.5</p:PoseHeadingDegrees>\
             <p:PosePitchDegrees>-2.5</p:PosePitchDegrees><p:PoseRollDegrees>1.0</p:PoseRollDegrees>\
             <p:FullPanoWidthPixels>8000.0</p:FullPanoWidthPixels><p:FullPanoHeightPixels>4000</p:FullPanoHeightPixels>\
             <p:CroppedAreaImageWidthPixels>4000</p:CroppedAreaImageWidthPixels>\
             <p:CroppedAreaImageHeightPixels>2000</p:CroppedAreaImageHeightPixels>\
             <p:CroppedAreaLeftPixels>0</p:CroppedAreaLeftPixels><p:CroppedAreaTopPixels>1000</p:CroppedAreaTopPixels>\
             </rdf:Description>";
        let expected = GPano {
            projection: Some("equirectangular".to_owned()),
            crop: Some(Crop {
                full_width: 8000.0,
                full_height: 4000.0,
                width: 4000.0,
                height: 2000.0,
                left: 0.0,
                top: 1000.0,
            }),
            pose_heading: Some(Heading::new(87.5).unwrap()),
            pose_pitch_deg: -2.5,
            pose_roll_deg: 1.0,
        };
        assert_eq!(GPano::parse(&packet(&attributes)), Ok(expected.clone()));
        assert_eq!(GPano::parse(&packet(elements)), Ok(expected));
    }

    #[test]
    fn headings_out_of_range_count_as_none() {
        let heading = |value: &str| {
            let fields = format!(
                "<rdf:Description xmlns:g='http://ns.google.com/photos/1.0/panorama/' g:PoseHeadingDegrees='{value}'/>"
            );
            GPano::parse(&packet(&fields)).unwrap().pose_heading.map(Heading::degrees)
        };
        assert_eq!(heading("360.0"), Some(0.0));
        assert_eq!(heading("000"), Some(0.0));
        assert_eq!(heading("-0.1"), None);
        assert_eq!(heading("361"), None);
        assert_eq!(heading("NaN"), None);
        assert_eq!(heading("north"), None);
        assert_eq!(heading(""), None);
    }

    #[test]
    fn another_namespace_is_not_gpano() {
        let fields = "<rdf:Description xmlns:GPano='http://example.org/' GPano:PoseHeadingDegrees='90'/>";
        assert_eq!(GPano::parse(&packet(fields)), Ok(GPano::default()));
    }

    #[test]
    fn what_is_no_xml_is_an_error_and_no_panic() {
        assert!(GPano::parse(b"").is_err());
        assert!(GPano::parse(b"<rdf:RDF>").is_err());
        assert!(GPano::parse(&[0xFF, 0xFE, 0x00]).is_err());
        assert!(GPano::parse(&packet("<a></b>")).is_err());
    }

    /// The "billion laughs": entities that multiply. They need a document type, which is refused.
    #[test]
    fn entity_bombs_are_refused() {
        let bomb = b"<!DOCTYPE x [<!ENTITY a 'ha'><!ENTITY b '&a;&a;&a;&a;'><!ENTITY c '&b;&b;&b;&b;'>]><x>&c;</x>";
        assert!(GPano::parse(bomb).is_err());
    }

    /// Deep nesting must not use up the stack of a worker's thread.
    #[test]
    fn deep_nesting_is_survived() {
        let deep = "<a>".repeat(200_000);
        assert!(GPano::parse(deep.as_bytes()).is_err());
        let closed = "<a>".repeat(20_000) + &"</a>".repeat(20_000);
        assert_eq!(GPano::parse(closed.as_bytes()), Ok(GPano::default()));
    }
}
