//! How much lighter one shot of a bracket is than another.

use super::overview::Overview;

/// Fewest pixels that a ratio is believed from.
const ENOUGH_PIXELS: usize = 50;
/// Files and pictures may differ by this much, in stops, before the pictures are believed: rounded shutter speeds, and curves that are
/// not quite the standard's, stay well below.
const BELIEVABLE_EV: f64 = 1.0;

/// Stops of light of each shot over the first: +1 twice as light. From the files (`ev100`, more for brighter scenes) where all
/// of them say it and the pictures do not plainly contradict; else from the pictures, `None` where these do not tell
/// (all black, all white).
pub(super) fn relative_stops(ev100: &[Option<f64>], shots: &[Overview]) -> Vec<Option<f64>> {
    let seen = estimate(shots);
    let said: Option<Vec<f64>> = ev100.iter().copied().map(|ev| ev.filter(|ev| ev.is_finite())).collect();
    let Some(said) = said else { return seen };
    let said: Vec<f64> = said.iter().map(|ev| said[0] - ev).collect();
    let contradicted =
        said.iter().zip(&seen).any(|(said, seen)| seen.is_some_and(|seen| (said - seen).abs() > BELIEVABLE_EV));
    if contradicted { seen } else { said.into_iter().map(Some).collect() }
}

/// From the pictures: shots next to each other in lightness are compared, and the ratios added up, so that
/// the darkest and the lightest need nothing in common.
fn estimate(shots: &[Overview]) -> Vec<Option<f64>> {
    let order = by_lightness(shots);
    let mut stops = vec![None; shots.len()];
    stops[order[0]] = Some(0.0);
    for pair in order.windows(2) {
        stops[pair[1]] = stops[pair[0]].zip(ratio(&shots[pair[0]], &shots[pair[1]])).map(|(sum, step)| sum + step);
    }
    let first = stops[0];
    stops.iter().map(|stop| stop.zip(first).map(|(stop, first)| stop - first)).collect()
}

/// The shots from dark to light; equally light ones in their own order.
pub(super) fn by_lightness(shots: &[Overview]) -> Vec<usize> {
    let mean = |shot: &Overview| -> f64 {
        let (sum, count) =
            shot.even_pixels().fold((0.0, 0), |(sum, count), i| (sum + f64::from(shot.light[i].min(1.0)), count + 1));
        sum / f64::from(count)
    };
    let means: Vec<f64> = shots.iter().map(mean).collect();
    let mut order: Vec<usize> = (0..shots.len()).collect();
    order.sort_by(|&a, &b| means[a].total_cmp(&means[b]));
    order
}

/// Stops by which `lighter` is lighter than `darker`: the median over all pixels that both of them can measure. Moved people and small
/// turns do not shift a median.
fn ratio(darker: &Overview, lighter: &Overview) -> Option<f64> {
    let mut stops: Vec<f32> = darker
        .even_pixels()
        .filter(|&i| darker.is_usable(i) && lighter.is_usable(i))
        .map(|i| super::curve::log2(lighter.light[i] / darker.light[i]))
        .collect();
    (stops.len() >= ENOUGH_PIXELS).then(|| f64::from(median(&mut stops)))
}

/// The middle one of the values; there is at least one.
pub(super) fn median(values: &mut [f32]) -> f32 {
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shot(stops: f32) -> Overview {
        let light: Vec<f32> =
            (0..64 * 32).map(|i| (0.001 * libm::exp2f((i * 7919 % 97) as f32 / 10.0 + stops)).min(1.0)).collect();
        Overview { width: 64, height: 32, peak: light.clone(), light }
    }

    #[test]
    fn pictures_tell_their_exposures_in_any_order() {
        let stops = relative_stops(&[None; 3], &[shot(0.0), shot(-2.0), shot(2.0)]);
        for (found, expected) in stops.into_iter().zip([0.0, -2.0, 2.0]) {
            assert!((found.unwrap() - expected).abs() < 1e-3, "{found:?} for {expected}");
        }
    }

    #[test]
    fn files_are_believed_unless_the_pictures_contradict() {
        let shots = [shot(0.0), shot(2.0)];
        // EV100 falls as light is gathered.
        assert_eq!(relative_stops(&[Some(11.9), Some(9.8)], &shots)[1].map(|ev| (ev * 10.0).round()), Some(21.0));
        for wrong in [[Some(10.0), Some(10.0)], [Some(9.0), Some(11.0)], [Some(9.0), None], [Some(f64::NAN), Some(2.0)]]
        {
            assert!((relative_stops(&wrong, &shots)[1].unwrap() - 2.0).abs() < 1e-3, "{wrong:?}");
        }
    }

    #[test]
    fn black_and_white_tell_nothing() {
        let plain = |light: f32| Overview { width: 4, height: 2, light: vec![light; 8], peak: vec![light; 8] };
        assert_eq!(relative_stops(&[None; 2], &[plain(0.0), plain(1.0)]), [Some(0.0), None]);
    }
}
