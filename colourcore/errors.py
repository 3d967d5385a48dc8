"""The two families of error that the house knows.

An `InputError` is about the user's world: a file, a row, a number that somebody typed. Its text is one sentence
that is shown as it stands. Everything else that escapes is our bug and stays loud.
"""

from __future__ import annotations

__all__ = ["Cancelled", "InputError"]


class InputError(Exception):
    """Something of the user's is not as expected.

    Parameters
    ----------
    problem
        What was expected and what was got, without a final stop.
    file
        The file's name as the user wrote it, when a file is at fault.
    line
        The line in that file, counted from 1.

    Examples
    --------
    >>> print(InputError("expected hours of 0 or more, got -2", file="chest.csv", line=4))
    chest.csv, line 4: expected hours of 0 or more, got -2.
    """

    def __init__(self, problem: str, *, file: str | None = None, line: int | None = None) -> None:
        self.problem = problem.rstrip(".")
        self.file = file
        self.line = line
        super().__init__(problem, file, line)

    def __str__(self) -> str:
        place = ", ".join(part for part in (self.file, f"line {self.line}" if self.line else None) if part)
        return f"{place}: {self.problem}." if place else f"{self.problem[:1].upper()}{self.problem[1:]}."

    def at(self, *, file: str | None = None, line: int | None = None) -> InputError:
        """Return the same problem with its place filled in where it was not known yet.

        >>> print(InputError("no hours").at(file="chest.csv", line=9))
        chest.csv, line 9: no hours.
        """
        return InputError(self.problem, file=self.file or file, line=self.line or line)


class Cancelled(Exception):  # noqa: N818 - not an error: the user asked for it
    """The user stopped a longer piece of work."""
