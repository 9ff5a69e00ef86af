//! Filling a hole from what surrounds it. (Plain for now: a membrane over the hole.)

use super::flat_light::FlatLight;

/// Fills the pixels of `hole` (as long as the picture has pixels) from what surrounds them.
pub fn fill(picture: &mut FlatLight, hole: &[bool], _forbidden: &[bool]) {
    let width = picture.width;
    for _ in 0..200 {
        let before = picture.pixels.clone();
        for (index, pixel) in picture.pixels.iter_mut().enumerate().filter(|(index, _)| hole[*index]) {
            let (x, y) = (index % width, index / width);
            let near = [
                (x.saturating_sub(1), y),
                ((x + 1).min(width - 1), y),
                (x, y.saturating_sub(1)),
                (x, (y + 1).min(picture.height - 1)),
            ];
            for channel in 0..3 {
                pixel[channel] = near.iter().map(|(x, y)| before[y * width + x][channel]).sum::<f32>() / 4.0;
            }
        }
    }
}
