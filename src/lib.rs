//! Enfilade takes a photographer from a folder of 360° shots to a walkthrough which any web host can serve.
//!
//! The map of the house. Imports run one way, from the bottom of this list to the top:
//!
//! | module | concern |
//! | --- | --- |
//! | [`vectors`] | whether code for wide vectors may run |
//! | [`problem`] | a problem: what, where, and what to write instead |
//! | [`sphere`] | pure maths: directions, rotations, the cube |
//! | [`description`] | what the photographer wrote: `tour.yaml` and the places of its values |
//! | [`tour`] | what is known: a checked [`tour::Tour`]; geometry of plan, doors and views |
//! | [`picture`] | reading, colour and metadata of picture files |
//! | [`darkroom`] | one file a step from shots to a finished sphere, and the recipe that orders them |
//! | [`tiles`] | the pyramid's layout, cutting and encoding |
//! | [`export`] | finished spheres, faces and views as files for other programs |
//! | [`store`] | the cache of finished work |
//! | [`workshop`] | a Tour becomes independent jobs with keys; runs what is not in the store |
//! | [`site`] | pages, `walk.json`, and publishing them as one step |
//! | [`check`] | what a careful colleague would notice |
//! | [`preview`] | the live server |
//! | [`cli`] | one file a command |

pub mod check;
pub mod cli;
pub mod darkroom;
pub mod description;
pub mod export;
pub mod picture;
pub mod preview;
pub mod problem;
pub mod site;
pub mod sphere;
pub mod store;
pub mod tiles;
pub mod tour;
pub mod vectors;
pub mod workshop;
