//! Tells cargo that the embedded folders may gain and lose files: the macro that embeds them sees only those it found.

fn main() {
    println!("cargo:rerun-if-changed=templates");
    println!("cargo:rerun-if-changed=static");
}
