//! Whether code that was compiled for wide vectors may run: the one place that asks the machine.
//!
//! Rust never fuses or reorders floating-point arithmetic, so a function compiled for wider vectors gives the same
//! result to the last bit. [`narrow`] forces the plain versions: tests compare the two.

use std::sync::atomic::{AtomicBool, Ordering};

static NARROW: AtomicBool = AtomicBool::new(false);

/// True where the machine has 256-bit vectors (AVX2) and nobody asked for the plain versions.
pub fn has_avx2() -> bool {
    #[cfg(target_arch = "x86_64")]
    let has = std::arch::is_x86_feature_detected!("avx2");
    #[cfg(not(target_arch = "x86_64"))]
    let has = false;
    has && !NARROW.load(Ordering::Relaxed)
}

/// Forces the plain versions for the whole process, or allows the wide ones again. For tests that compare bytes.
pub fn narrow(only_plain: bool) {
    NARROW.store(only_plain, Ordering::Relaxed);
}
