//! `tour.yaml` as types: what may be written, key by key. Each line names unit, range and default.
//!
//! The same types hold both readings. The reading with places fills every [`Placed::place`]; serde's reading leaves
//! them unknown; comparing looks at the values only.

use super::placed::Placed;
use serde::Deserialize;
use std::collections::BTreeMap;

/// Two numbers: right and down on a plan, or longitude and latitude in a picture.
pub type Pair = [f64; 2];

/// A text that visitors read: one for all (`title: Kitchen`), or several by language (`title: { en: Kitchen, de: Küche }`).
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Text {
    /// In the tour's language.
    One(String),
    /// By BCP 47 tag.
    Several(BTreeMap<Placed<String>, String>),
}

impl Default for Text {
    fn default() -> Self {
        Text::One(String::new())
    }
}

/// A whole tour.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Description {
    /// The tour's title, any text, also by language; required.
    pub title: Placed<Text>,
    /// One or two sentences for search engines and share cards, also by language; default none.
    #[serde(default)]
    pub summary: Placed<Text>,
    /// Language of the texts and of the viewer's own words, a BCP 47 tag; default `en`.
    #[serde(default = "english")]
    pub language: Placed<String>,
    /// Room, or room/station, where the visitor begins; default the first room.
    #[serde(default)]
    pub opens_in: Option<Placed<String>>,
    /// How visitors see an altered picture as it was: as a `view` of the walkthrough, or as a `still` on the page about the pictures;
    /// default `view`.
    #[serde(default)]
    pub unaltered: Placed<Unaltered>,
    /// What holds for every station that says nothing else.
    #[serde(default)]
    pub defaults: Defaults,
    /// Storeys, at least one; required.
    pub floors: Vec<Placed<Floor>>,
    /// Ways between rooms; default none.
    #[serde(default)]
    pub doors: Vec<Placed<Door>>,
}

/// How visitors see an altered picture as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unaltered {
    /// In the walkthrough itself.
    #[default]
    View,
    /// As a flat picture only.
    Still,
}

/// The language of the texts where none is named.
pub fn english() -> Placed<String> {
    "en".to_owned().into()
}

/// What holds for every station that says nothing else.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct Defaults {
    /// JPEG quality of the tiles, a whole number 1 to 100; default 85.
    pub quality: u8,
    /// Whether tiles keep colour at full resolution, `true` or `false`; default `false`.
    pub full_colour: bool,
    /// How the camera leaned; default `none`.
    pub tilt: Tilt,
    /// Lens above the floor in metres, 0.2 to 5; default 1.6.
    pub camera_height: f64,
    /// How light, warm, strong and crisp pictures are; default as they came.
    pub tone: Tone,
    /// Repairs that every station needs: `fill: tripod` or `disc`; a station's own takes its place; default none.
    pub retouch: Vec<Placed<Repair>>,
}

impl Default for Defaults {
    fn default() -> Self {
        // Eye level is common practice, no source; 85 without full colour is where artefacts vanish at viewing size.
        Defaults {
            quality: 85,
            full_colour: false,
            tilt: Tilt::default(),
            camera_height: 1.6,
            tone: Tone::default(),
            retouch: Vec::new(),
        }
    }
}

/// Rooms on one storey.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Floor {
    /// Lower-case letters, digits and single hyphens, unique among floors; required.
    pub id: Placed<String>,
    /// Shown to visitors, any text, also by language; required.
    pub title: Placed<Text>,
    /// A drawing of this floor; default none.
    #[serde(default)]
    pub plan: Option<Placed<Plan>>,
    /// Rooms, at least one; required.
    pub rooms: Vec<Placed<Room>>,
}

/// A drawing of a floor. Places on it count in its own units, right and down.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Plan {
    /// An SVG, PNG or JPEG file, from the tour's folder; required.
    pub drawing: Placed<String>,
    /// North arrow in degrees clockwise from up, −180 to 360; default unknown, up then serves as north.
    #[serde(default)]
    pub north: Option<f64>,
    /// A length that is known; default none.
    #[serde(default)]
    pub scale: Option<Placed<Scale>>,
}

/// A known length on a plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Scale {
    /// One end, `[right, down]` in the plan's units; required.
    pub from: Pair,
    /// The other end, `[right, down]` in the plan's units; required.
    pub to: Pair,
    /// The distance in metres, 0.01 to 10000; required.
    pub metres: f64,
}

/// A titled place: either `stations`, or the keys of its one station.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Room {
    /// Lower-case letters, digits and single hyphens, unique in the tour; required.
    pub id: Placed<String>,
    /// Shown to visitors, any text, also by language; required.
    pub title: Placed<Text>,
    /// Several stations, for a large room; default the one that this room's own keys describe.
    #[serde(default)]
    pub stations: Option<Vec<Placed<Station>>>,
    /// Ways between the stations of this room; default from each station to the next.
    #[serde(default)]
    pub steps: Option<Vec<Placed<Step>>>,
    /// The picture's file, from the tour's folder, or a list of exposures to merge; required without `stations`.
    #[serde(default)]
    pub shots: Option<Placed<Shots>>,
    /// Where the picture's centre column faces, degrees clockwise from north, 0 to 360; default worked out or unknown.
    #[serde(default)]
    pub heading: Option<f64>,
    /// Where the tripod stood, `[right, down]` in the plan's units; default unknown.
    #[serde(default)]
    pub stands_at: Option<Placed<Pair>>,
    /// Lens above the floor in metres, 0.2 to 5; default as `defaults` says.
    #[serde(default)]
    pub camera_height: Option<f64>,
    /// How the camera leaned; default as `defaults` says.
    #[serde(default)]
    pub tilt: Option<Tilt>,
    /// How light, warm, strong and crisp the picture is; each key default as `defaults` says.
    #[serde(default)]
    pub tone: Tone,
    /// JPEG quality of the tiles, a whole number 1 to 100; default as `defaults` says.
    #[serde(default)]
    pub quality: Option<u8>,
    /// Whether tiles keep colour at full resolution; default as `defaults` says.
    #[serde(default)]
    pub full_colour: Option<bool>,
    /// First view; default towards the first door.
    #[serde(default)]
    pub opening_view: Option<OpeningView>,
    /// Marks that open a text or a picture; default none.
    #[serde(default)]
    pub notes: Vec<Placed<Note>>,
    /// What is altered in the picture, in this order; default none.
    #[serde(default)]
    pub retouch: Vec<Placed<Repair>>,
}

/// One place where the tripod stood.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Station {
    /// Lower-case letters, digits and single hyphens, unique in its room; required.
    pub id: Placed<String>,
    /// The picture's file, from the tour's folder, or a list of exposures to merge; required.
    pub shots: Placed<Shots>,
    /// Where the picture's centre column faces, degrees clockwise from north, 0 to 360; default worked out or unknown.
    #[serde(default)]
    pub heading: Option<f64>,
    /// Where the tripod stood, `[right, down]` in the plan's units; default unknown.
    #[serde(default)]
    pub stands_at: Option<Placed<Pair>>,
    /// Lens above the floor in metres, 0.2 to 5; default as `defaults` says.
    #[serde(default)]
    pub camera_height: Option<f64>,
    /// How the camera leaned; default as `defaults` says.
    #[serde(default)]
    pub tilt: Option<Tilt>,
    /// How light, warm, strong and crisp the picture is; each key default as `defaults` says.
    #[serde(default)]
    pub tone: Tone,
    /// JPEG quality of the tiles, a whole number 1 to 100; default as `defaults` says.
    #[serde(default)]
    pub quality: Option<u8>,
    /// Whether tiles keep colour at full resolution; default as `defaults` says.
    #[serde(default)]
    pub full_colour: Option<bool>,
    /// First view; default towards the first door.
    #[serde(default)]
    pub opening_view: Option<OpeningView>,
    /// Marks that open a text or a picture; default none.
    #[serde(default)]
    pub notes: Vec<Placed<Note>>,
    /// What is altered in the picture, in this order; default none.
    #[serde(default)]
    pub retouch: Vec<Placed<Repair>>,
}

/// The shots of one station: a file, or a list of files that show the same view at different exposures.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Shots {
    /// `shots: hall.jpg`
    One(Placed<String>),
    /// `shots: [hall-1.jpg, hall-2.jpg, hall-3.jpg]`
    List(Vec<Placed<String>>),
}

impl Default for Shots {
    fn default() -> Self {
        Shots::List(Vec::new())
    }
}

impl Shots {
    /// The files named, in order.
    pub fn files(&self) -> &[Placed<String>] {
        match self {
            Shots::One(file) => std::slice::from_ref(file),
            Shots::List(files) => files,
        }
    }
}

/// How the camera leaned.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Tilt {
    /// By name.
    Named(NamedTilt),
    /// By measure.
    Angles(TiltAngles),
}

impl Default for Tilt {
    fn default() -> Self {
        Tilt::Named(NamedTilt::None)
    }
}

/// A tilt that has a name.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NamedTilt {
    /// The picture is level already.
    None,
    /// As the file's own pose fields say.
    FromFile,
    /// As the picture's own vertical lines say.
    Auto,
}

/// A tilt in degrees, as GPano's pose fields count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct TiltAngles {
    /// Degrees that the picture's centre was raised by, −90 to 90; default 0.
    #[serde(default)]
    pub pitch: f64,
    /// Degrees that the camera's right side was lowered by, −180 to 180; default 0.
    #[serde(default)]
    pub roll: f64,
}

/// How light, warm, strong and crisp a picture is.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct Tone {
    /// Stops, −5 to 5: each one more doubles the light; default 0.
    pub exposure: Option<f64>,
    /// What counts as neutral: `as-shot`, `auto`, the light's colour or a grey spot; default `as-shot`.
    pub white_balance: Option<WhiteBalance>,
    /// Bright parts darker or brighter, −1 to 1; default 0.
    pub highlights: Option<f64>,
    /// Dark parts darker or brighter, −1 to 1; default 0.
    pub shadows: Option<f64>,
    /// Light and dark closer together or further apart, −1 to 1; default 0.
    pub contrast: Option<f64>,
    /// The same within small surroundings, −1 to 1; default 0.
    pub local_contrast: Option<f64>,
    /// Weaker or stronger colours, −1 (grey) to 1; default 0.
    pub saturation: Option<f64>,
    /// Finest detail crisper, 0 to 1; default 0.
    pub sharpening: Option<f64>,
    /// A neighbouring room, or room/station, whose look is taken over, as seen through the doorway; default none.
    #[serde(rename = "match")]
    pub like: Option<Placed<String>>,
}

/// What counts as neutral.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum WhiteBalance {
    /// By name.
    Named(NamedWhiteBalance),
    /// By measure.
    Measured(MeasuredWhiteBalance),
}

/// A white balance that has a name.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NamedWhiteBalance {
    /// As the camera saw it.
    AsShot,
    /// Worked out from the picture.
    Auto,
}

/// A white balance by the colour of the light, or by something that is grey in truth.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct MeasuredWhiteBalance {
    /// Colour temperature in kelvin of the light that is to look white, 2000 to 25000; 6504 changes nothing.
    #[serde(default)]
    pub temperature: Option<f64>,
    /// How much greener (above 0) or more purple (below 0) than daylight that light is, −50 to 50; default 0.
    #[serde(default)]
    pub tint: Option<f64>,
    /// A spot that is grey in truth, `[longitude, latitude]` in the picture's own frame, degrees.
    #[serde(default)]
    pub neutral: Option<Pair>,
}

/// A direction: either `spot`, or `heading` with or without `elevation`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Sighting {
    /// `[longitude, latitude]` in the picture's own frame, degrees, −180 to 180 and −90 to 90.
    #[serde(default)]
    pub spot: Option<Pair>,
    /// Degrees clockwise from north, 0 to 360.
    #[serde(default)]
    pub heading: Option<f64>,
    /// Degrees above the horizon, −90 to 90; with `heading` only; default −10 for a door, −20 for a step.
    #[serde(default)]
    pub elevation: Option<f64>,
}

/// The view that a station opens with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct OpeningView {
    /// `[longitude, latitude]` in the picture's own frame, degrees, −180 to 180 and −90 to 90.
    #[serde(default)]
    pub spot: Option<Pair>,
    /// Degrees clockwise from north, 0 to 360.
    #[serde(default)]
    pub heading: Option<f64>,
    /// Degrees above the horizon, −90 to 90; with `heading` only; default 0.
    #[serde(default)]
    pub elevation: Option<f64>,
    /// Horizontal angle of the view in degrees, 10 to 140; default as the screen suggests.
    #[serde(default)]
    pub field_of_view: Option<f64>,
}

/// A mark that opens a text or a picture.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Note {
    /// `[longitude, latitude]` in the picture's own frame, degrees, −180 to 180 and −90 to 90.
    #[serde(default)]
    pub spot: Option<Pair>,
    /// Degrees clockwise from north, 0 to 360.
    #[serde(default)]
    pub heading: Option<f64>,
    /// Degrees above the horizon, −90 to 90; with `heading` only; default 0.
    #[serde(default)]
    pub elevation: Option<f64>,
    /// A short name for the mark, also by language; default the beginning of the text.
    #[serde(default)]
    pub title: Option<Text>,
    /// What the note says, also by language; required unless it has a picture or a link.
    #[serde(default)]
    pub text: Text,
    /// A picture to show; default none.
    #[serde(default)]
    pub picture: Option<NotePicture>,
    /// Where to read on, an address with `https:`, `http:` or `mailto:`; opens in a new tab; default none.
    #[serde(default)]
    pub link: Option<Placed<String>>,
}

/// A note's picture.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct NotePicture {
    /// A JPEG, PNG or WebP file, from the tour's folder; required.
    pub file: Placed<String>,
    /// Said instead of the picture to who cannot see it, any text, also by language; required.
    pub alternative: Text,
}

/// A way between two rooms.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Door {
    /// The two rooms, each as room or room/station; required.
    pub between: [Placed<String>; 2],
    /// The doorway's middle on the plan, `[right, down]` in its units; default unknown.
    #[serde(default)]
    pub at: Option<Placed<Pair>>,
    /// Only from the first room to the second, `true` or `false`; default `false`.
    #[serde(default)]
    pub one_way: bool,
    /// Where the door is seen, by room or room/station; default as the plan tells.
    #[serde(default)]
    pub seen_from: BTreeMap<Placed<String>, Sighting>,
}

/// A way between two stations of one room.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Step {
    /// The two stations, by their ids; required.
    pub between: [Placed<String>; 2],
    /// Where the other station is seen, by station; default as the plan tells.
    #[serde(default)]
    pub seen_from: BTreeMap<Placed<String>, Sighting>,
}

/// One repair: exactly one of `fill`, `clone`, `patch`, `blur` and `disc` says its kind.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct Repair {
    /// What is filled from its surroundings: `tripod`, or a region.
    pub fill: Option<Placed<Fill>>,
    /// The region that is covered with what is seen elsewhere.
    pub clone: Option<Placed<Region>>,
    /// The painted flat view, a PNG or TIFF file that `enfilade patch` wrote, from the tour's folder.
    pub patch: Option<Placed<String>>,
    /// The region that is made unreadable.
    pub blur: Option<Placed<Region>>,
    /// What lies on the floor over the tripod: a colour such as `"#6b6259"`, or a PNG, JPEG or WebP file.
    pub disc: Option<Placed<String>>,
    /// Of `fill: tripod`: degrees around the nadir to fill, 2 to 60; default what the finder finds. Of `disc`: its own, default 14.
    pub radius: Option<f64>,
    /// Of `fill: tripod`: whether its shadow goes too, `true` or `false`; default `false`.
    pub shadow: Option<bool>,
    /// Of `clone`: the spot that is copied, `[longitude, latitude]`; default the same spot, in `from-shot`.
    pub from: Option<Pair>,
    /// Of `clone`: another shot from the same place of the tripod, from the tour's folder; default this picture itself.
    pub from_shot: Option<Placed<String>>,
    /// Of `clone`: degrees clockwise that the copy is turned by, −180 to 180; default 0.
    pub turned: Option<f64>,
    /// Of `patch`: the middle of the flat view, `[longitude, latitude]`; required.
    pub spot: Option<Pair>,
    /// Of `patch`: angle across the flat view in degrees, 1 to 120; required.
    pub field_of_view: Option<f64>,
    /// Of `patch`: the untouched twin of the flat view; default the patch's name with `.twin` before its ending.
    pub twin: Option<Placed<String>>,
    /// `equipment`, `privacy`, `clutter`, `fixture`, `damage`, `sky` or `other`; default `equipment` for the tripod and `disc`,
    /// `privacy` for `blur`; required elsewhere.
    pub why: Option<Why>,
    /// What is altered, in a few words, as visitors read it, also by language; default as the kind says.
    pub name: Option<Text>,
    /// Whether it is left out for now, `true` or `false`; default `false`.
    pub off: bool,
}

/// What is filled.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Fill {
    /// By name.
    Named(NamedFill),
    /// By place.
    Region(Region),
}

/// What can be found by itself.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NamedFill {
    /// The camera's own stand.
    Tripod,
}

/// A part of a picture: `spot` and `radius`, or `corners`.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct Region {
    /// The middle of a disc, `[longitude, latitude]` in the picture's own frame, degrees.
    pub spot: Option<Pair>,
    /// Degrees from the middle of a disc to its edge, 0.2 to 60.
    pub radius: Option<f64>,
    /// The corners of a polygon in order, 3 to 64, each `[longitude, latitude]`, joined by straight lines as seen from the camera.
    pub corners: Option<Vec<Pair>>,
}

/// Why something is altered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// The photographer's own things.
    Equipment,
    /// What is nobody's business.
    Privacy,
    /// What lies about.
    Clutter,
    /// What belongs to the house and stays.
    Fixture,
    /// What is broken or worn.
    Damage,
    /// The sky, or a view through a window.
    Sky,
    /// Anything else.
    Other,
}
