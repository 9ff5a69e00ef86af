//! A sphere with some of its pixels changed, while the one below stays as it is.

use crate::picture::linear::{LinearRows, Row};

/// Pixels of one repair, with their light as it came to be.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Layer {
    pub first_row: usize,
    /// From the first row on; each span of a row lies to the right of the one before.
    pub rows: Vec<Vec<Span>>,
}

/// Pixels side by side in one row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Span {
    pub first: usize,
    pub light: Vec<[f32; 3]>,
}

impl Layer {
    fn spans(&self, y: usize) -> &[Span] {
        y.checked_sub(self.first_row).and_then(|index| self.rows.get(index)).map_or(&[], |spans| spans)
    }
}

/// A sphere as its repairs leave it. What no repair touched is read from the picture below, to the last bit.
#[derive(Clone)]
pub struct Retouched<'a> {
    below: &'a dyn LinearRows,
    layers: Vec<Layer>,
}

impl<'a> Retouched<'a> {
    /// Nothing changed yet.
    pub(super) fn new(below: &'a dyn LinearRows) -> Self {
        Retouched { below, layers: Vec::new() }
    }

    pub(super) fn add(&mut self, layer: Layer) {
        self.layers.push(layer);
    }

    /// Every changed row, from the top, with the spans of it that were changed. Where they overlap, the later one counts.
    pub(super) fn changed(&self) -> impl Iterator<Item = (usize, Vec<&Span>)> {
        (0..self.below.size().1).filter_map(|y| {
            let spans: Vec<&Span> = self.layers.iter().flat_map(|layer| layer.spans(y)).collect();
            (!spans.is_empty()).then_some((y, spans))
        })
    }
}

impl LinearRows for Retouched<'_> {
    fn size(&self) -> (usize, usize) {
        self.below.size()
    }

    fn full_scale(&self) -> Option<[[f64; 3]; 3]> {
        self.below.full_scale()
    }

    fn read(&self, y: usize, row: &mut Row) {
        self.below.read(y, row);
        for span in self.layers.iter().flat_map(|layer| layer.spans(y)) {
            for (index, light) in span.light.iter().enumerate() {
                for (channel, &light) in row.iter_mut().zip(light) {
                    channel[span.first + index] = light;
                }
            }
        }
    }
}
