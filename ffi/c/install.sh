#!/bin/sh
# Builds the library and installs it: shared and static, the header, the pkg-config file, the licences.
#
#   PREFIX     where it will be found [/usr/local]
#   LIBDIR     where its libraries will be found [$PREFIX/lib]
#   DESTDIR    a folder in front of both, for packages []
#   PROFILE    cargo's profile [release]
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
PREFIX=${PREFIX:-/usr/local}
LIBDIR=${LIBDIR:-$PREFIX/lib}
DESTDIR=${DESTDIR:-}
PROFILE=${PROFILE:-release}
CARGO=${CARGO:-cargo}

cd "$here/../.."
"$CARGO" build --quiet --locked -p fairspell-c --profile "$PROFILE"
target=${CARGO_TARGET_DIR:-target}
case $PROFILE in
  dev) built=$target/debug ;;
  *) built=$target/$PROFILE ;;
esac
version=$(sed -n 's/^version = "\(.*\)"$/\1/p' Cargo.toml | head -n 1)
# The first number of the ABI's version, in thousands.
major=$(sed -n 's/^#define FAIRSPELL_ABI_VERSION \([0-9]*\)$/\1/p' ffi/c/include/fairspell.h)
major=$((major / 1000))

mkdir -p "$DESTDIR$LIBDIR/pkgconfig" "$DESTDIR$PREFIX/include"
cp ffi/c/include/fairspell.h "$DESTDIR$PREFIX/include/fairspell.h"
cp "$built/libfairspell_c.a" "$DESTDIR$LIBDIR/libfairspell_c.a"
cp "$built/libfairspell_c.so" "$DESTDIR$LIBDIR/libfairspell_c.so.$major"
ln -sf "libfairspell_c.so.$major" "$DESTDIR$LIBDIR/libfairspell_c.so"
sed -e "s|@PREFIX@|$PREFIX|" -e "s|@LIBDIR@|$LIBDIR|" -e "s|@VERSION@|$version|" \
  ffi/c/fairspell.pc.in > "$DESTDIR$LIBDIR/pkgconfig/fairspell.pc"
mkdir -p "$DESTDIR$PREFIX/share/doc/fairspell-c"
cp LICENSE-APACHE LICENSE-MIT ffi/c/README.md ffi/c/THIRD-PARTY.txt "$DESTDIR$PREFIX/share/doc/fairspell-c/"
