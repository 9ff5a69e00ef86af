//! Values that know where they were written.

use crate::problem::Place;
use serde::{Deserialize, Deserializer};
use std::path::Path;
use std::sync::Arc;

/// A value and where it was written. Two of them are equal if and only if their values are.
#[derive(Clone, Debug)]
pub struct Placed<T> {
    /// What was written.
    pub value: T,
    /// Where; line 0 where nobody knows (serde's reading).
    pub place: Place,
}

impl<T> Placed<T> {
    /// A value at a place.
    pub fn new(value: T, place: &Place) -> Self {
        Placed { value, place: place.clone() }
    }
}

impl<T: PartialEq> PartialEq for Placed<T> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<T: Eq> Eq for Placed<T> {}

impl<T: PartialOrd> PartialOrd for Placed<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        self.value.partial_cmp(&other.value)
    }
}

impl<T: Ord> Ord for Placed<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.value.cmp(&other.value)
    }
}

impl<T> From<T> for Placed<T> {
    fn from(value: T) -> Self {
        Placed { value, place: Place { file: Arc::from(Path::new("")), line: 0, column: 0, length: 0 } }
    }
}

impl<T: Default> Default for Placed<T> {
    fn default() -> Self {
        T::default().into()
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Placed<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        T::deserialize(deserializer).map(Placed::from)
    }
}
