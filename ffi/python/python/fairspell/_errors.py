"""What can go wrong."""

from __future__ import annotations


class Error(ValueError):
    """There is no answer.

    file, line, column: where; the line and the column count from 1, the column in bytes; of columns the row is the line.
        None where there is none.
    expected, found: what would have been right, and what stood there.
    """

    file: str | None
    line: int | None
    column: int | None
    expected: str
    found: str

    def __init__(
        self,
        words: str,
        *,
        file: str | None = None,
        line: int | None = None,
        column: int | None = None,
    ) -> None:
        place = [str(part) for part in (file, line, column) if part is not None]
        super().__init__(f"{':'.join(place)}: {words}" if place else words)
        self.file, self.line, self.column = file, line, column
        expected, _, self.found = words.partition(", found ")
        self.expected = expected.partition("expected ")[2]


class ReadError(Error):
    """Weather or a record that cannot be read."""


class FileError(Error):
    """A site, an operation or a table of plants that cannot be used."""


class QuestionError(Error):
    """An argument that does not fit, or a question that lacks something."""
