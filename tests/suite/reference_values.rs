//! The sphere's and the plan's geometry against values that were computed elsewhere, with general-purpose libraries.
//! Each file's own header names its source.

use enfilade::sphere::{Direction, Face, Heading, Rotation, wrap_degrees};
use enfilade::tour::plan;
use std::collections::HashMap;

/// Angles and coordinates in the files carry nine decimals.
const TOLERANCE: f64 = 1e-6;

/// A row of a check file, by column.
struct Row(HashMap<String, String>);

impl Row {
    fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|_| panic!("{column} is {:?}", self.text(column)))
    }
}

fn rows(file: &str, at_least: usize) -> Vec<Row> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/reference").join(file);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let rows: Vec<Row> = reader.deserialize().map(|row| Row(row.unwrap())).collect();
    assert!(rows.len() >= at_least, "{file} has only {} rows", rows.len());
    rows
}

#[track_caller]
fn close(found: f64, expected: f64, what: &str) {
    assert!((found - expected).abs() < TOLERANCE, "{what}: {found}, not {expected}");
}

#[track_caller]
fn same_angle(found: f64, expected: f64, what: &str) {
    assert!(wrap_degrees(found - expected).abs() < TOLERANCE, "{what}: {found}, not {expected}");
}

/// OpenGL's face letters, as in the specification's table.
fn face_named(gl: &str) -> Face {
    let index = ["+X", "-X", "+Y", "-Y", "+Z", "-Z"].iter().position(|name| *name == gl).unwrap();
    Face::ALL[index]
}

/// FITS WCS TSC and the OpenGL cube map, by wcslib.
#[test]
fn directions_and_faces_are_those_of_fits_and_opengl() {
    for row in rows("projection.csv", 30) {
        let (lon, lat) = (row.number("lon_deg"), row.number("lat_deg"));
        let direction = Direction::from_degrees(lon, lat);
        let what = format!("lon {lon} lat {lat}");
        close(direction.right, row.number("dir_right"), &what);
        close(direction.up, row.number("dir_up"), &what);
        close(direction.ahead, row.number("dir_fwd"), &what);
        let (face, s, t) = Face::of(direction);
        assert_eq!(face, face_named(row.text("gl_face")), "{what}");
        close(s, row.number("tile_u"), &what);
        close(t, row.number("tile_v"), &what);
        close(face.direction(s, t).angle_to(direction), 0.0, &what);
    }
}

/// The major-axis table of ARB_texture_cube_map, worked out from the specification.
#[test]
fn cube_map_coordinates_are_those_of_the_specification() {
    for row in rows("cubemap.csv", 20) {
        let vector = ["rx", "ry", "rz"].map(|axis| row.number(axis));
        let direction = Direction::normalized(vector[0], vector[1], vector[2]);
        let what = format!("{vector:?}");
        let (face, s, t) = Face::of(direction);
        assert_eq!(face, face_named(row.text("face")), "{what}");
        assert_eq!(face as usize, row.number("index") as usize, "{what}");
        close(s, row.number("s"), &what);
        close(t, row.number("t"), &what);
        if row.number("lat_deg").abs() < 90.0 {
            same_angle(direction.longitude(), row.number("lon_deg"), &what);
        }
        close(direction.latitude(), row.number("lat_deg"), &what);
    }
}

/// Great-circle separations, by astropy.
#[test]
fn angles_between_directions_are_those_of_astronomy() {
    for row in rows("angles.csv", 9) {
        let at = |n: u8| Direction::from_degrees(row.number(&format!("lon{n}")), row.number(&format!("lat{n}")));
        close(at(1).angle_to(at(2)), row.number("separation_deg"), &format!("{:?}", row.0));
    }
}

/// Intrinsic heading, pitch, roll, by scipy: tilt as this project has it, then the heading added to the longitude.
#[test]
fn tilt_turns_directions_as_heading_pitch_and_roll_do() {
    for row in rows("rotation.csv", 14) {
        let (heading, pitch, roll) = (row.number("heading"), row.number("pitch"), row.number("roll"));
        let what = format!("heading {heading} pitch {pitch} roll {roll}");
        let level = Rotation::from_tilt(pitch, roll);
        let probe = level.apply(Direction::from_degrees(40.0, 10.0));
        same_angle(probe.heading(Heading::wrapping(heading)).degrees(), row.number("probe_lon"), &what);
        close(probe.latitude(), row.number("probe_lat"), &what);
        let centre = level.apply(Direction::from_degrees(0.0, 0.0));
        close(centre.latitude(), row.number("fwd_lat"), &what);
        // A tilt leaves the centre column's heading alone.
        if centre.latitude().abs() < 89.0 {
            same_angle(centre.heading(Heading::wrapping(heading)).degrees(), row.number("fwd_lon"), &what);
        }
        let north = level.inverse().apply(Direction::from_degrees(-heading, 0.0));
        let expected = Direction::from_degrees(row.number("north_in_cam_lon"), row.number("north_in_cam_lat"));
        close(north.angle_to(expected), 0.0, &what);
    }
}

/// Plan geometry, by numpy.
#[test]
fn bearings_headings_and_elevations_follow_from_the_plan() {
    for row in rows("headings.csv", 12) {
        let from = [row.number("x1"), row.number("y1")];
        let to = [row.number("x2"), row.number("y2")];
        let what = format!("{from:?} to {to:?}");
        let bearing = plan::bearing_deg(from, to).unwrap();
        same_angle(bearing, row.number("plan_bearing"), &what);
        let heading = plan::heading(bearing, row.number("north_deg"));
        same_angle(heading.degrees(), row.number("true_heading"), &what);
        let metres = plan::distance(from, to) * row.number("m_per_px");
        close(metres, row.number("distance_m"), &what);
        let longitude = wrap_degrees(heading.degrees() - row.number("pose_heading"));
        same_angle(longitude, row.number("lon_in_picture"), &what);
        let elevation = plan::elevation_deg(0.0, row.number("camera_height_m"), metres);
        close(elevation, row.number("floor_elev"), &what);
    }
}
