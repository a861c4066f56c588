//! What the linker is told.

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let target = |key| std::env::var(format!("CARGO_CFG_TARGET_{key}")).unwrap_or_default();
    // The toolchain's own linker, which is the default there, puts functions that came out alike
    // into the program once, and packs the places that the loader sets (glibc 2.36 and later).
    // Others do not know these words.
    if target("ARCH") == "x86_64" && target("OS") == "linux" && target("ENV") == "gnu" {
        println!("cargo:rustc-link-arg-bins=-Wl,--icf=all,-z,pack-relative-relocs");
    }
}
