#!/bin/sh
# Makes the packages of the crates that may be published, in target/package, and builds each from its own files alone.
#
# Cargo holds that a package of one version never changes: what it unpacked and built of ours for those built on it, it takes again,
# whatever is in them by now. So that goes first.
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
cd "$here/.."
target=${CARGO_TARGET_DIR:-target}
version=$(sed -n 's/^version = "\(.*\)"$/\1/p' Cargo.toml | head -n 1)
registry=${CARGO_HOME:-$HOME/.cargo}/registry
for name in fairspell-data fairspell fairspell-cli; do
  rm -rf "$registry"/src/*/"$name-$version" "$registry"/cache/*/"$name-$version.crate"
done
# Built from there: the files in which the compiler says from what end with the number that cargo has for the build.
for built in $(grep -ls "$registry/src/.*/fairspell" "$target"/debug/deps/*fairspell*.d); do
  number=${built##*-}
  rm -rf "$target"/debug/.fingerprint/fairspell*-"${number%.d}"
done
"${CARGO:-cargo}" package --locked --offline --allow-dirty -p fairspell-data -p fairspell -p fairspell-cli
