//! What the linker is told.

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let target = |key| std::env::var(format!("CARGO_CFG_TARGET_{key}")).unwrap_or_default();
    // The toolchain's own linker, which is the default there, puts functions that came out alike
    // into the program once. Others do not know the word.
    if target("ARCH") == "x86_64" && target("OS") == "linux" && target("ENV") == "gnu" {
        println!("cargo:rustc-link-arg-bins=-Wl,--icf=all");
    }
}
