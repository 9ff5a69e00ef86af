//! A finished piece of work in one file: small named files behind one another, and an index at the end.
//!
//! One file instead of hundreds makes opening a tour's work a matter of one read a station, and replacing it one rename.
//!
//! ```text
//! magic                                        8 bytes, "enfpack1"
//! the files' bytes, in the order of the index
//! index: for every file, sorted by name
//!     length of the name                       2 bytes, little-endian
//!     length of the file                       8 bytes, little-endian
//!     BLAKE3 of the file                       32 bytes
//!     name                                     ASCII
//! length of the index                          8 bytes, little-endian
//! BLAKE3 of the pack's key and the index       32 bytes
//! magic again                                  8 bytes
//! ```
//!
//! The lengths must add up to the file's own, so that a pack cut short anywhere is known by its end alone.

use super::ContentHash;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Error, ErrorKind, Read, Result, Seek, SeekFrom, Write};
use std::path::Path;

const MAGIC: &[u8; 8] = b"enfpack1";
const TAIL_BYTES: u64 = 8 + 32 + 8;
/// Before the name in the index.
const ENTRY_BYTES: usize = 2 + 8 + 32;
const LONGEST_NAME_BYTES: usize = 255;
/// More than ten times what the largest picture needs; bounds what a damaged length can make us allocate.
const LARGEST_INDEX_BYTES: u64 = 16 << 20;

/// A finished station (or still) in one file. Only the index is held in memory.
///
/// The file stays open, so that on Unix it can be read even after it was thrown out of the store or replaced. A run
/// therefore holds one open file a station.
#[derive(Debug)]
pub struct Pack {
    file: File,
    entries: BTreeMap<String, Entry>,
}

#[derive(Clone, Copy, Debug)]
struct Entry {
    start: u64,
    length: u64,
    hash: [u8; 32],
}

impl Pack {
    /// Names of the files in it, sorted, with their sizes in bytes.
    pub fn entries(&self) -> impl Iterator<Item = (&str, u64)> {
        self.entries.iter().map(|(name, entry)| (name.as_str(), entry.length))
    }

    /// One file's bytes, checked against the hash they were stored with.
    ///
    /// # Errors
    /// The pack was damaged since it was made, cannot be read, or holds no such file.
    pub fn read(&self, name: &str) -> Result<Vec<u8>> {
        let entry =
            self.entries.get(name).ok_or_else(|| Error::new(ErrorKind::NotFound, format!("no {name:?} in it")))?;
        let mut bytes = vec![0; entry.length as usize];
        read_exact_at(&self.file, &mut bytes, entry.start)?;
        if *blake3::hash(&bytes).as_bytes() != entry.hash {
            return Err(damaged("a stored file is damaged: build again with --verify, or delete .enfilade"));
        }
        Ok(bytes)
    }

    /// Reads every file once.
    ///
    /// # Errors
    /// One of them is damaged or cannot be read.
    pub fn verify(&self) -> Result<()> {
        self.entries.keys().try_for_each(|name| self.read(name).map(drop))
    }

    /// Opens a pack by its index alone.
    ///
    /// # Errors
    /// There is none, it is not whole, or it was made under another key.
    pub(super) fn open(path: &Path, key: ContentHash) -> Result<Pack> {
        let mut file = File::open(path)?;
        let file_bytes = file.metadata()?.len();
        let index_bytes = read_frame(&mut file, file_bytes)?;
        let index_start = file_bytes - TAIL_BYTES - index_bytes;
        let mut index = vec![0; index_bytes as usize];
        let mut tail = [0; TAIL_BYTES as usize];
        file.seek(SeekFrom::Start(index_start))?;
        file.read_exact(&mut index)?;
        file.read_exact(&mut tail)?;
        if tail[8..40] != *index_hash(key, &index).as_bytes() {
            return Err(damaged("its index is damaged"));
        }
        let (entries, end) = parse_index(&index).ok_or_else(|| damaged("its index is malformed"))?;
        if end != index_start {
            return Err(damaged("its lengths do not add up"));
        }
        Ok(Pack { file, entries })
    }
}

/// Writes a whole pack.
///
/// # Errors
/// Writing fails; a name is not a plain relative path, or comes twice.
pub(super) fn write(to: &mut impl Write, key: ContentHash, files: &[(&str, &[u8])]) -> Result<()> {
    let mut sorted = files.to_vec();
    sorted.sort_unstable_by_key(|(name, _)| *name);
    if let Some((name, _)) = sorted.iter().find(|(name, _)| !is_plain_name(name)) {
        return Err(Error::new(ErrorKind::InvalidInput, format!("{name:?} cannot name a file in a pack")));
    }
    if let Some(twice) = sorted.windows(2).find(|pair| pair[0].0 == pair[1].0) {
        return Err(Error::new(ErrorKind::InvalidInput, format!("{:?} comes twice in a pack", twice[0].0)));
    }
    to.write_all(MAGIC)?;
    let mut index = Vec::new();
    for (name, bytes) in &sorted {
        to.write_all(bytes)?;
        index.extend_from_slice(&(name.len() as u16).to_le_bytes());
        index.extend_from_slice(&(bytes.len() as u64).to_le_bytes());
        index.extend_from_slice(blake3::hash(bytes).as_bytes());
        index.extend_from_slice(name.as_bytes());
    }
    to.write_all(&index)?;
    to.write_all(&(index.len() as u64).to_le_bytes())?;
    to.write_all(index_hash(key, &index).as_bytes())?;
    to.write_all(MAGIC)
}

/// Checks both magics and the lengths that they frame; returns the index's length.
fn read_frame(file: &mut File, file_bytes: u64) -> Result<u64> {
    let mut head = [0; 8];
    let mut tail = [0; TAIL_BYTES as usize];
    if file_bytes < MAGIC.len() as u64 + TAIL_BYTES {
        return Err(damaged("it is too short"));
    }
    file.read_exact(&mut head)?;
    file.seek(SeekFrom::End(-(TAIL_BYTES as i64)))?;
    file.read_exact(&mut tail)?;
    if head != *MAGIC || tail[40..] != *MAGIC {
        return Err(damaged("it is not a pack"));
    }
    let index_bytes = u64::from_le_bytes(first_eight(&tail));
    if index_bytes > LARGEST_INDEX_BYTES.min(file_bytes - MAGIC.len() as u64 - TAIL_BYTES) {
        return Err(damaged("its lengths do not add up"));
    }
    Ok(index_bytes)
}

/// Entries, and where the last file ends. `None` for anything that [`write()`] does not write.
fn parse_index(mut index: &[u8]) -> Option<(BTreeMap<String, Entry>, u64)> {
    let mut entries = BTreeMap::new();
    let mut start = MAGIC.len() as u64;
    while !index.is_empty() {
        let (fixed, rest) = index.split_at_checked(ENTRY_BYTES)?;
        let (name, rest) = rest.split_at_checked(usize::from(u16::from_le_bytes([fixed[0], fixed[1]])))?;
        let name = std::str::from_utf8(name).ok().filter(|name| is_plain_name(name))?;
        let length = u64::from_le_bytes(first_eight(&fixed[2..]));
        let hash = fixed[10..].try_into().ok()?;
        if entries.insert(name.to_owned(), Entry { start, length, hash }).is_some() {
            return None;
        }
        start = start.checked_add(length)?;
        index = rest;
    }
    Some((entries, start))
}

/// Letters, digits, dots, hyphens and underscores in one or more components, none of them `.` or `..` or empty.
fn is_plain_name(name: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'_');
    name.len() <= LONGEST_NAME_BYTES
        && name.split('/').all(|part| !matches!(part, "" | "." | "..") && part.bytes().all(plain))
}

fn index_hash(key: ContentHash, index: &[u8]) -> blake3::Hash {
    blake3::Hasher::new().update(&key.0).update(index).finalize()
}

/// The first eight of at least eight bytes.
fn first_eight(bytes: &[u8]) -> [u8; 8] {
    std::array::from_fn(|i| bytes[i])
}

fn damaged(why: &str) -> Error {
    Error::new(ErrorKind::InvalidData, why)
}

/// Positioned, so that threads may read one pack at the same time.
#[cfg(unix)]
fn read_exact_at(file: &File, bytes: &mut [u8], start: u64) -> Result<()> {
    std::os::unix::fs::FileExt::read_exact_at(file, bytes, start)
}

/// Positioned, so that threads may read one pack at the same time.
#[cfg(windows)]
fn read_exact_at(file: &File, mut bytes: &mut [u8], mut start: u64) -> Result<()> {
    while !bytes.is_empty() {
        match std::os::windows::fs::FileExt::seek_read(file, bytes, start)? {
            0 => return Err(ErrorKind::UnexpectedEof.into()),
            read => {
                bytes = &mut bytes[read..];
                start += read as u64;
            }
        }
    }
    Ok(())
}
