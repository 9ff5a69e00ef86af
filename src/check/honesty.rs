//! Whether what was altered may mislead who looks at the pictures. Questions, not judgements: rules differ from place to place, and only people who know
//! those of the place can answer.

use crate::problem::{Problem, Problems};
use crate::tour::{Repair, Station, Tour, Unaltered, Why};

/// Where to ask; the guide tells what is known of such rules.
const ASK: &str = "ask the agent, the listing service or a lawyer where the house is; docs/repairs.md tells more";

/// Cautions about alterations that may hide something from a buyer or a guest, and about showing the unaltered pictures as stills only.
pub fn honesty(tour: &Tour) -> Problems {
    let mut cautions = Problems::new();
    let stations = || tour.stations().flat_map(|station| station.retouch.iter().map(move |repair| (station, repair)));
    stations().filter_map(|(station, repair)| caution(station, repair)).for_each(|caution| cautions.push(caution));
    let is_still = tour.unaltered.value == Unaltered::Still;
    if is_still && stations().any(|(_, repair)| repair.is_alteration()) {
        let what = "visitors see the unaltered pictures as stills only";
        let instead = format!("some rules ask for the whole picture: {ASK}");
        cautions.push(Problem::warning(what, instead).at(&tour.unaltered.place));
    }
    cautions
}

fn caution(station: &Station, repair: &Repair) -> Option<Problem> {
    let (what, may) = match repair.why {
        Why::Fixture => {
            ("this hides something that belongs to the house and stays", "it may mislead who buys or rents it")
        }
        Why::Damage => ("this hides damage or wear", "a buyer or a guest may have a right to see it"),
        Why::Sky => {
            ("this changes the sky or a view through a window", "in some places that counts as part of the property")
        }
        Why::Equipment | Why::Privacy | Why::Clutter | Why::Other => return None,
    };
    let caution = Problem::warning(what, format!("{may}: {ASK}")).at(&repair.place);
    Some(caution.station(station.key.to_string()))
}
