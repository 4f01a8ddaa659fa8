#!/bin/sh
# Builds the program and installs it: binary, man pages, completions, licences, data to try it on, and what sends its line by mail.
#
#   PREFIX     where it will be found [/usr/local]
#   DESTDIR    a folder in front of it, for packages []
#   PROFILE    cargo's profile [release]
#
# packaging/README.md lists what is installed. Where a release is built leaves no trace in it: see there, "The same bytes".
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
PREFIX=${PREFIX:-/usr/local}
DESTDIR=${DESTDIR:-}
PROFILE=${PROFILE:-release}
CARGO=${CARGO:-cargo}

cd "$here/.."
target=${CARGO_TARGET_DIR:-target}
case $PROFILE in
  dev) built=$target/debug ;;
  *)
    built=$target/$PROFILE
    tab=$(printf '\037')
    CARGO_ENCODED_RUSTFLAGS=$(printf '%s' "${RUSTFLAGS:-}" | tr -s ' ' '\037')${RUSTFLAGS:+$tab}
    CARGO_ENCODED_RUSTFLAGS=$CARGO_ENCODED_RUSTFLAGS--remap-path-prefix=$(pwd -P)=/fairspell$tab
    CARGO_ENCODED_RUSTFLAGS=$CARGO_ENCODED_RUSTFLAGS--remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}=/cargo
    export CARGO_ENCODED_RUSTFLAGS
    ;;
esac
"$CARGO" build --quiet --locked -p fairspell-cli --bin fairspell --profile "$PROFILE"
"$CARGO" build --quiet --locked -p fairspell-cli --example pages --profile "$PROFILE"

root=$DESTDIR$PREFIX
documents=$root/share/doc/fairspell

# put MODE FILE... FOLDER: copies files into a folder, which it makes.
put() {
  mode=$1
  shift
  for folder; do :; done
  mkdir -p "$folder"
  while [ $# -gt 1 ]; do
    cp "$1" "$folder/"
    chmod "$mode" "$folder/${1##*/}"
    shift
  done
}

# put_filled FILE FOLDER: the same with the prefix filled in.
put_filled() {
  mkdir -p "$2"
  sed "s|@PREFIX@|$PREFIX|g" "$1" > "$2/${1##*/}"
  chmod 644 "$2/${1##*/}"
}

put 755 "$built/fairspell" "$root/bin"
put 755 packaging/send-line "$root/libexec/fairspell"
put_filled packaging/systemd/fairspell-line.service "$root/lib/systemd/user"
put 644 packaging/systemd/fairspell-line.timer "$root/lib/systemd/user"
"$built/examples/pages" "$root/share"
put 644 README.md CHANGELOG.md LICENSE-APACHE LICENSE-MIT cli/THIRD-PARTY.txt "$documents"
put 644 packaging/systemd/line.conf "$documents/examples"
put_filled packaging/crontab "$documents/examples"
# Beside the README, whose commands name them so.
put 644 data/README.md data/plants.toml "$documents/data"
put 644 data/demo/*.csv data/demo/README.md data/demo/site.toml "$documents/data/demo"
put 644 data/operations/*.toml "$documents/data/operations"
put 644 data/operations/examples/*.toml "$documents/data/operations/examples"
put 644 data/schema/*.json "$documents/data/schema"
