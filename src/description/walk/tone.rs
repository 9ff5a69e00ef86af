//! How light, warm, strong and crisp pictures are.

use super::angles::spot;
use super::entries::{Entries, nearest};
use super::placed_text;
use super::scalars::{number, text};
use crate::description::tree::{Kind, Node, quote};
use crate::description::types::{MeasuredWhiteBalance, NamedWhiteBalance, Tone, WhiteBalance};
use crate::problem::{Problem, Problems};

/// Of a room or a station.
pub fn tone(node: &Node, problems: &mut Problems) -> Option<Tone> {
    let mut entries = Entries::of(node, "`tone`", problems)?;
    let tone = keys(&mut entries);
    entries.finish();
    Some(tone)
}

/// Of the whole tour. What belongs to one picture has no place here.
pub fn defaults(node: &Node, problems: &mut Problems) -> Option<Tone> {
    let mut entries = Entries::of(node, "`tone`", problems)?;
    if entries.has("match") {
        entries.problem_at("match", "`match` stands in `defaults`", "move it to the room that is to look like another");
    }
    let tone = keys(&mut entries);
    entries.finish();
    if let Some(WhiteBalance::Measured(MeasuredWhiteBalance { neutral: Some(_), .. })) = tone.white_balance {
        let what = "a spot that is grey lies in one picture, not in all";
        problems.push(Problem::error(what, "move `white-balance` to the room that it is for").at(&node.place));
    }
    Some(tone)
}

fn keys(entries: &mut Entries<'_, '_>) -> Tone {
    Tone {
        exposure: entries.optional("exposure", |node, problems| number(node, problems, "exposure", -5.0, 5.0, "stops")),
        white_balance: entries.optional("white-balance", white_balance),
        highlights: share(entries, "highlights", -1.0),
        shadows: share(entries, "shadows", -1.0),
        contrast: share(entries, "contrast", -1.0),
        local_contrast: share(entries, "local-contrast", -1.0),
        saturation: share(entries, "saturation", -1.0),
        sharpening: share(entries, "sharpening", 0.0),
        like: entries.optional("match", placed_text),
    }
}

fn share(entries: &mut Entries<'_, '_>, key: &'static str, least: f64) -> Option<f64> {
    entries.optional(key, |node, problems| number(node, problems, key, least, 1.0, ""))
}

fn white_balance(node: &Node, problems: &mut Problems) -> Option<WhiteBalance> {
    const FORMS: &str = "write `as-shot`, `auto`, `{ temperature: 4000 }` or `{ neutral: [longitude, latitude] }`";
    if let Kind::Mapping(_) = node.kind {
        return measured(node, problems).map(WhiteBalance::Measured);
    }
    let named = match node.kind {
        Kind::Scalar { .. } => text(node, problems)?,
        _ => String::new(),
    };
    let (what, instead) = match named.as_str() {
        "as-shot" => return Some(WhiteBalance::Named(NamedWhiteBalance::AsShot)),
        "auto" => return Some(WhiteBalance::Named(NamedWhiteBalance::Auto)),
        "" => (format!("{} is not a white balance", node.quoted()), FORMS.to_owned()),
        named => {
            let near = nearest(named, &["as-shot", "auto"]);
            let instead = near.map_or(FORMS.to_owned(), |near| format!("write `{near}`"));
            (format!("{} is not a white balance", quote(named)), instead)
        }
    };
    problems.push(Problem::error(what, instead).at(&node.place));
    None
}

fn measured(node: &Node, problems: &mut Problems) -> Option<MeasuredWhiteBalance> {
    let mut entries = Entries::of(node, "`white-balance`", problems)?;
    match ["temperature", "tint", "neutral"].map(|key| entries.has(key)) {
        [true, _, true] | [_, true, true] => {
            entries.problem_at("neutral", "`neutral` stands beside the light's colour", "keep one of the two");
        }
        [false, true, false] => {
            entries.problem_at(
                "tint",
                "`tint` stands without `temperature`",
                "write a `temperature` too; 6504 is daylight",
            );
        }
        [false, false, false] => {
            entries.problem(
                "no white balance is said here",
                "write `temperature` in kelvin, or `neutral: [longitude, latitude]`",
            );
        }
        _ => {}
    }
    let balance = MeasuredWhiteBalance {
        temperature: entries.optional("temperature", |node, problems| {
            number(node, problems, "temperature", 2000.0, 25_000.0, "kelvin")
        }),
        tint: entries.optional("tint", |node, problems| number(node, problems, "tint", -50.0, 50.0, "")),
        neutral: entries.optional("neutral", spot),
    };
    entries.finish();
    Some(balance)
}
