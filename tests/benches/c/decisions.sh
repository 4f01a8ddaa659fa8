#!/bin/sh
# Decisions a second through C: builds the library in release, installs it into a folder of its own, runs decisions.c.
set -eu
root=$(CDPATH= cd -- "$(dirname -- "$0")/../../.." && pwd)
prefix=$(mktemp -d)
trap 'rm -rf "$prefix"' EXIT
PREFIX=$prefix sh "$root/ffi/c/install.sh"
export PKG_CONFIG_PATH="$prefix/lib/pkgconfig"
# shellcheck disable=SC2046 # words of pkg-config are to be split
gcc -std=c99 -O2 -Wall -Wextra -Werror -pedantic "$root/tests/benches/c/decisions.c" \
  $(pkg-config --cflags --libs fairspell) -lm -o "$prefix/decisions"
cd "$root/data/demo"
LD_LIBRARY_PATH="$prefix/lib" "$prefix/decisions"
