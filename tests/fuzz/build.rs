//! Compiles the body of the target for the C library.

fn main() {
    println!("cargo::rerun-if-changed=../c/bytes.c");
    println!("cargo::rerun-if-changed=../../ffi/c/include/fairspell.h");
    cc::Build::new()
        .file("../c/bytes.c")
        .include("../../ffi/c/include")
        .warnings(true)
        .compile("bytes");
}
