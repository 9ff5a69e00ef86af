//! Wide vectors where the processor has them, with the same results to the last bit.

/// Runs `work`, compiled for the widest vectors that this processor has. What `work` calls must be `#[inline(always)]` to
/// profit. Vectors change how many numbers are worked on at once, never the order within one result: there is no fused
/// multiply-add among the instructions that are allowed here, and sums across a row are written in a fixed order.
#[inline(always)]
pub(super) fn widest<R>(work: impl FnOnce() -> R) -> R {
    #[cfg(target_arch = "x86_64")]
    if crate::vectors::has_avx2() {
        // SAFETY: the processor was asked for these instructions.
        return unsafe { avx2(work) };
    }
    work()
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn avx2<R>(work: impl FnOnce() -> R) -> R {
    work()
}
