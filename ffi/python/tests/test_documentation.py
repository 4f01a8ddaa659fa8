"""What is public is documented, its examples run, and the README's snippets too.

Source: the house's own rule that every example runs (DEVELOPERS.md); doctest runs them.
"""

from __future__ import annotations

import doctest
import inspect
from pathlib import Path

import pytest
from conftest import ROOT

import fairspell

READMES = [ROOT / "ffi" / "python" / "README.md", ROOT / "README.md"]


def test_examples_of_docstrings() -> None:
    done = doctest.testmod(fairspell, raise_on_error=False)
    assert done.failed == 0
    assert done.attempted >= 20


def test_everything_public_has_a_docstring() -> None:
    for name in fairspell.__all__:
        of = getattr(fairspell, name)
        assert inspect.getdoc(of), name
        if inspect.isfunction(of):
            assert ">>> " in (of.__doc__ or ""), name
            words = (of.__doc__ or "").replace("`", "")
            told = "The others are as in" in words
            missing = [key for key in inspect.signature(of).parameters if not told and key not in words]
            assert not missing, (name, missing)


@pytest.mark.parametrize("readme", READMES, ids=["package", "project"])
def test_snippets_of_the_readmes(readme: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each block of Python runs in the workspace's folder; what it prints stands beside it as a comment."""
    monkeypatch.chdir(ROOT)
    text = readme.read_text(encoding="utf-8")
    blocks = [block.split("```")[0] for block in text.split("```python\n")[1:]]
    assert blocks
    for block in blocks:
        exec(compile(block, str(readme), "exec"), {})
