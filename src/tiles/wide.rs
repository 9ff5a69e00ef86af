//! The same code for wide vectors: compiled twice, chosen at run time, with the same bits out of both.

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
        if $crate::vectors::has_avx2() {
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
