//! The same code for wide vectors: compiled twice, chosen at run time, with the same bits out of both.
//!
//! Rust never fuses or reorders floating-point arithmetic, so a function compiled for wider vectors gives the same
//! result. [`narrow`] forces the plain version: a test compares the two.

use std::sync::atomic::{AtomicBool, Ordering};

static NARROW: AtomicBool = AtomicBool::new(false);

/// True where the machine has 256-bit integer vectors and nobody asked for the plain version.
pub(super) fn has_avx2() -> bool {
    #[cfg(target_arch = "x86_64")]
    let has = std::arch::is_x86_feature_detected!("avx2");
    #[cfg(not(target_arch = "x86_64"))]
    let has = false;
    has && !NARROW.load(Ordering::Relaxed)
}

/// Forces the plain version for the whole process, or allows the wide one again. For tests that compare bytes.
pub fn narrow(only_plain: bool) {
    NARROW.store(only_plain, Ordering::Relaxed);
}

/// `widened! { fn plain / wide (arguments) { body } }` makes the function and its twin compiled for AVX2.
macro_rules! widened {
    (fn $plain:ident / $wide:ident ($($name:ident: $type:ty),* $(,)?) $body:block) => {
        #[inline(always)]
        fn $plain($($name: $type),*) $body

        #[cfg(target_arch = "x86_64")]
        #[target_feature(enable = "avx2")]
        fn $wide($($name: $type),*) {
            $plain($($name),*);
        }
    };
}

/// Calls the twin that suits the machine.
macro_rules! dispatch {
    ($plain:ident, $wide:ident, ($($argument:expr),* $(,)?)) => {{
        #[cfg(target_arch = "x86_64")]
        if $crate::tiles::wide::has_avx2() {
            // SAFETY: the machine has AVX2.
            unsafe { $wide($($argument),*) }
        } else {
            $plain($($argument),*);
        }
        #[cfg(not(target_arch = "x86_64"))]
        $plain($($argument),*);
    }};
}

pub(super) use {dispatch, widened};
