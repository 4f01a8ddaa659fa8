//! The same bits, whoever works them out: with one thread and with two, and again. `.ci/run` compares the debug build with the
//! release build (`cargo run -p fairspell-tests --bin bits`).
//!
//! Source of what is expected: the contract's "same input, same bits"; the numbers themselves are expected nowhere.

use fairspell_tests::bits::parts;

#[test]
fn one_thread_and_two_come_to_the_same_bits() {
    let one = parts(1);
    assert_eq!(one, parts(2));
    // Every part has worked, and no two are one and the same work.
    for (index, (name, number)) in one.iter().enumerate() {
        assert!(*number > 1, "{name}");
        assert!(
            one.iter().skip(index + 1).all(|(_, other)| other != number),
            "{name}"
        );
    }
}
