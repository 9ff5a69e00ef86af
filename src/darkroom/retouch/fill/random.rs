//! Chance that is the same every time.

/// A number that looks like chance but follows from what it is made of (the finaliser of MurmurHash3 by A. Appleby, in the public domain, from memory).
pub fn hash(a: u32, b: u32, c: u32) -> u32 {
    let mut h = a.wrapping_mul(0x9e37_79b1) ^ b.wrapping_mul(0x85eb_ca77) ^ c.wrapping_mul(0xc2b2_ae3d);
    h ^= h >> 16;
    h = h.wrapping_mul(0x85eb_ca6b);
    h ^= h >> 13;
    h = h.wrapping_mul(0xc2b2_ae35);
    h ^ h >> 16
}

/// A whole number from −`reach` to `reach`.
pub fn within(hash: u32, reach: i32) -> i32 {
    ((u64::from(hash) * (2 * reach as u64 + 1)) >> 32) as i32 - reach
}

/// A whole number below `count`.
pub fn one_of(hash: u32, count: usize) -> usize {
    ((u64::from(hash) * count as u64) >> 32) as usize
}
