#!/bin/sh
# Builds the installed program twice, from copies of the last commit in two folders, and compares the bytes. Takes minutes.
#
#   packaging/reproduce.sh [FOLDER]      where to build [a new folder below /tmp]
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
folder=${1:-$(mktemp -d)}
for name in one another/place; do
  mkdir -p "$folder/$name"
  git -C "$here/.." archive HEAD | tar -x -C "$folder/$name"
  # Each with a target folder of its own.
  (cd "$folder/$name" && unset CARGO_TARGET_DIR && PREFIX=/usr DESTDIR="$PWD/installed" packaging/install.sh)
done
cd "$folder"
sha256sum one/installed/usr/bin/fairspell another/place/installed/usr/bin/fairspell
diff -r one/installed another/place/installed
echo "the same bytes: every installed file"
