//! Gives the shared library the name by which programs ask for it, with the version of the ABI.

/// The first number of `fairspell_abi_version`, at which programs that were built before no longer run.
const MAJOR: u32 = 1;

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    if std::env::var("CARGO_CFG_TARGET_OS").is_ok_and(|os| os == "linux") {
        println!("cargo::rustc-cdylib-link-arg=-Wl,-soname,libfairspell_c.so.{MAJOR}");
    }
}
