//! The one integration suite: a module a feature.

mod broken_tours;
mod hostile_yaml;
mod read_tours;
mod reference_values;
mod sights;
mod tour_yaml_page;
mod two_readings;
mod written_tour;
