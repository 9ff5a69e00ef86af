//! What is remembered of the shots, so that a run in which nothing changed opens no picture.
//!
//! A remembered hash is trusted only while the file's size, times and identity are the same and its times lie well before
//! the moment of the record: a file that changes within the grain of the file system's clock could otherwise keep
//! its times and get a new content unseen.

use super::ContentHash;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::Metadata;
use std::path::Path;
use std::time::SystemTime;

/// The coarsest clock of a file system in use (FAT) counts in steps of two seconds.
const CLOCK_GRAIN_NS: i64 = 2_000_000_000;

/// A file as the file system describes it; no content.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// Bytes.
    pub size: u64,
    /// Last modification of the content, nanoseconds since 1970.
    pub modified_ns: i64,
    /// Last change of content, name or rights, nanoseconds since 1970; 0 where the system keeps none.
    pub changed_ns: i64,
    /// Number of the file on its device; 0 where the system keeps none.
    pub inode: u64,
    /// Number of the device; 0 where the system keeps none.
    pub device: u64,
}

impl Stamp {
    /// Of an open file.
    pub fn of(metadata: &Metadata) -> Stamp {
        #[cfg(unix)]
        let (changed_ns, inode, device) = {
            use std::os::unix::fs::MetadataExt;
            let changed_ns = metadata.ctime().saturating_mul(1_000_000_000).saturating_add(metadata.ctime_nsec());
            (changed_ns, metadata.ino(), metadata.dev())
        };
        #[cfg(not(unix))]
        let (changed_ns, inode, device) = (0, 0, 0);
        let modified_ns = metadata.modified().map_or(i64::MAX, nanoseconds);
        Stamp { size: metadata.len(), modified_ns, changed_ns, inode, device }
    }

    /// True where the file's times lie more than two seconds before `moment_ns`.
    fn is_older_than_the_clock_grain(&self, moment_ns: i64) -> bool {
        self.modified_ns.max(self.changed_ns) < moment_ns.saturating_sub(CLOCK_GRAIN_NS)
    }
}

/// The present moment, as [`Record::recorded_ns`] has it.
pub fn now_ns() -> i64 {
    nanoseconds(SystemTime::now())
}

/// Since 1970, negative before; the last one that fits for times beyond the year 2262.
fn nanoseconds(time: SystemTime) -> i64 {
    match time.duration_since(SystemTime::UNIX_EPOCH) {
        Ok(after) => i64::try_from(after.as_nanos()).unwrap_or(i64::MAX),
        Err(before) => i64::try_from(before.duration().as_nanos()).map_or(i64::MIN, |ns| -ns),
    }
}

/// One shot as it was when it was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// The file at that time.
    pub stamp: Stamp,
    /// When reading began, nanoseconds since 1970.
    pub recorded_ns: i64,
    /// Of the whole file.
    #[serde(with = "hash_as_text")]
    pub hash: ContentHash,
    /// From its headers.
    pub facts: ShotFacts,
}

/// What must be known of a shot before its pixels are.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ShotFacts {
    /// Width of the whole sphere's picture.
    pub sphere_width: u32,
    /// What the picture says of the camera's pose.
    #[serde(with = "exact_numbers")]
    pub pose: RecordedPose,
    /// What was left out of account, each as the end of a sentence that starts with the shot's name.
    pub warnings: Vec<String>,
    /// What its vertical lines say, where somebody asked.
    #[serde(default)]
    pub upright: Option<RecordedUpright>,
}

/// What a picture's own vertical lines say of the camera's tilt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RecordedUpright {
    /// Number of the method that found it: another method may find another tilt.
    pub method: u32,
    /// Pitch and roll in degrees, exact to the bit; `None` where it could not be told.
    #[serde(with = "exact_tilt")]
    pub tilt: Option<(f64, f64)>,
    /// One standard deviation of the tilt in hundredths of a degree, rounded up; 0 where it could not be told.
    #[serde(default)]
    pub error_hundredths_deg: u32,
    /// Why it could not be told, as a sentence without its full stop; empty where it could.
    pub doubt: String,
}

/// Heading (if said), pitch and roll in degrees, 0 where the file says nothing; exact to the bit.
pub type RecordedPose = (Option<f64>, f64, f64);

/// All that is remembered of a tour's shots, by path.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Records {
    shots: BTreeMap<String, Record>,
    #[serde(default)]
    materials: BTreeMap<String, Record>,
}

/// What a file is to a station. One file may be both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A shot.
    Shot,
    /// A picture that a repair needs. Of its facts nothing is known.
    Material,
}

impl Records {
    /// The record of a file whose stamp is `now`, if it can be trusted.
    pub fn trusted(&self, role: Role, path: &Path, now: &Stamp) -> Option<&Record> {
        let record = self.of(role).get(path.to_str()?)?;
        (record.stamp == *now && record.stamp.is_older_than_the_clock_grain(record.recorded_ns)).then_some(record)
    }

    /// These files' records only.
    pub fn only<'a>(&self, files: impl Iterator<Item = (Role, &'a Path)>) -> Records {
        let mut kept = Records::default();
        for (role, path) in files {
            if let Some(record) = path.to_str().and_then(|path| self.of(role).get(path)) {
                kept.insert(role, path, record.clone());
            }
        }
        kept
    }

    /// Remembers a file. Without effect where the path is not Unicode: such a file is read every time.
    pub fn insert(&mut self, role: Role, path: &Path, record: Record) {
        if let Some(path) = path.to_str() {
            let of_role = match role {
                Role::Shot => &mut self.shots,
                Role::Material => &mut self.materials,
            };
            of_role.insert(path.to_owned(), record);
        }
    }

    fn of(&self, role: Role) -> &BTreeMap<String, Record> {
        match role {
            Role::Shot => &self.shots,
            Role::Material => &self.materials,
        }
    }
}

mod hash_as_text {
    use super::ContentHash;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub fn serialize<S: Serializer>(hash: &ContentHash, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&hash.long())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<ContentHash, D::Error> {
        let text = String::deserialize(from)?;
        ContentHash::from_long(&text).ok_or_else(|| D::Error::custom("not a hash"))
    }
}

/// As [`exact_numbers`].
mod exact_tilt {
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    pub fn serialize<S: Serializer>(tilt: &Option<(f64, f64)>, to: S) -> Result<S::Ok, S::Error> {
        tilt.map(|(pitch, roll)| (pitch.to_string(), roll.to_string())).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<(f64, f64)>, D::Error> {
        let number = |text: String| text.parse().map_err(D::Error::custom);
        let tilt = Option::<(String, String)>::deserialize(from)?;
        tilt.map(|(pitch, roll)| Ok((number(pitch)?, number(roll)?))).transpose()
    }
}

/// Numbers as text: the standard library's printing and parsing give back the same bits, JSON readers may not.
mod exact_numbers {
    use super::RecordedPose;
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    pub fn serialize<S: Serializer>(pose: &RecordedPose, to: S) -> Result<S::Ok, S::Error> {
        (pose.0.map(|heading| heading.to_string()), pose.1.to_string(), pose.2.to_string()).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<RecordedPose, D::Error> {
        let (heading, pitch, roll) = <(Option<String>, String, String)>::deserialize(from)?;
        let number = |text: String| text.parse().map_err(D::Error::custom);
        Ok((heading.map(number).transpose()?, number(pitch)?, number(roll)?))
    }
}
