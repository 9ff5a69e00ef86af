//! The one integration suite: a module a feature.

mod broken_tours;
mod cli;
mod command;
mod darkroom;
mod export;
mod hostile_yaml;
mod house;
mod patches;
mod pictures;
mod preview;
mod private;
mod pyramid;
mod read_tours;
mod reference;
mod reference_values;
mod sample_tour;
mod shown_tours;
mod sights;
mod site;
mod small;
mod spheres;
mod tour_yaml_page;
mod two_readings;
mod untouched;
mod written_tour;
