"""The installed package carries the licences, and the notices of what is linked into its native module.

Source: the licences of the crates, which ask that their notices go with every copy.
"""

from __future__ import annotations

from importlib.metadata import files, metadata

from conftest import ROOT


def test_licences_and_notices_are_in_the_package() -> None:
    installed = {file.name: file for file in files("fairspell") or [] if "licenses" in file.parts}
    for name in ["LICENSE-APACHE", "LICENSE-MIT", "THIRD-PARTY.txt"]:
        source = ROOT / "ffi" / "python" / name
        assert installed[name].read_text(encoding="utf-8") == source.read_text(encoding="utf-8")
    assert metadata("fairspell")["License-Expression"] == "MIT OR Apache-2.0"
