//! What the terminal says when the preview is open to the network: for whom, what does not work there, and the address as a code for a phone's camera.

use qrcodegen::{QrCode, QrCodeEcc};

/// A quiet zone of four modules on each side belongs to a code (ISO/IEC 18004, section 9.1).
const QUIET: i32 = 4;

/// The lines for an address.
pub(super) fn told(address: &str) -> Vec<String> {
    let said = [
        format!("For a phone on the same network: {address}"),
        "Anybody on this network can look at it as long as the preview runs; nothing can be changed from there."
            .to_owned(),
        "Turning by the device and headsets work on pages with https only: not at this address.".to_owned(),
    ];
    said.into_iter().chain(drawn(address)).collect()
}

/// The code, two modules above one another in each character; nothing for an address that is too long for one.
fn drawn(address: &str) -> Vec<String> {
    let Ok(code) = QrCode::encode_text(address, QrCodeEcc::Low) else { return Vec::new() };
    let line = |y: i32| {
        let module = |x: i32| match (code.get_module(x, y), code.get_module(x, y + 1)) {
            // Light is drawn, dark is left out: most terminals are dark.
            (false, false) => '█',
            (false, true) => '▀',
            (true, false) => '▄',
            (true, true) => ' ',
        };
        (-QUIET..code.size() + QUIET).map(module).collect()
    };
    (-QUIET..code.size() + QUIET).step_by(2).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_code_is_square_with_its_three_eyes_and_a_quiet_zone() {
        let lines = drawn("http://192.168.100.100:8317/");
        // 25 modules hold up to 32 characters (ISO/IEC 18004, table 7, version 2-L, from memory), and eight of quiet.
        assert!(lines.iter().all(|line| line.chars().count() == 33));
        assert_eq!(lines.len(), 17);
        let dark = |x: usize, y: usize| {
            let half = lines[y / 2].chars().nth(x).unwrap();
            matches!((half, y % 2), (' ', _) | ('▄', 0) | ('▀', 1))
        };
        for (left, top) in [(4, 4), (22, 4), (4, 22)] {
            for (x, y) in (0..7).flat_map(|x| (0..7).map(move |y| (x, y))) {
                let ring = x.max(y).max(6 - x).max(6 - y);
                assert_eq!(dark(left + x, top + y), ring != 5, "an eye at {left}, {top}: {x}, {y}");
            }
        }
        assert!((0..33).all(|at| !dark(at, 3) && !dark(3, at)));
    }
}
