"""What can go wrong, as exceptions. All are Error; each code of docs/errors.md has its class.

A slip in the call itself (a wrong shape, an unknown keyword) is Python's own ValueError or TypeError.
"""

from __future__ import annotations


class Error(Exception):
    """A failure of data or world. str() is one line: where, what is wrong, what to do."""

    code: str = "internal"
    where: str  #: file and line, channel, or argument
    what: str  #: what is wrong
    advice: str  #: what to do about it; may be empty

    def __init__(self, message: str, where: str = "", what: str = "", advice: str = "") -> None:
        # All four, so that a copy or a pickle (another process's worker) is whole.
        super().__init__(message, where, what, advice)
        self.where = where
        self.what = what
        self.advice = advice

    def __str__(self) -> str:
        return str(self.args[0])


class BadArgument(Error, ValueError):
    """An option or value is outside its range."""

    code = "bad_argument"


class TooShort(Error):
    """The recording holds too little for what was asked."""

    code = "too_short"


class UnsupportedFormat(Error):
    """The file is not of a kind that is read."""

    code = "unsupported_format"


class CorruptFile(Error):
    """The file contradicts itself or its format."""

    code = "corrupt_file"


class MissingMetadata(Error):
    """Rate, unit, channel or speed is needed and not known."""

    code = "missing_metadata"


class NoSpeed(Error):
    """The shaft speed could not be found."""

    code = "no_speed"


class NotFound(Error, LookupError):
    """A name asked for (bearing, channel, variable) does not exist."""

    code = "not_found"


class IoFailure(Error):
    """The operating system refused."""

    code = "io"


class DatabaseFailure(Error):
    """The history store refused."""

    code = "database"


class InternalError(Error):
    """A bug of the library."""

    code = "internal"


_by_code = {
    c.code: c
    for c in (
        BadArgument,
        TooShort,
        UnsupportedFormat,
        CorruptFile,
        MissingMetadata,
        NoSpeed,
        NotFound,
        IoFailure,
        DatabaseFailure,
        InternalError,
    )
}


def from_parts(code: str, where: str, what: str, advice: str, message: str) -> Error:
    """The exception of a code; called by the compiled module."""
    return _by_code.get(code, InternalError)(message, where, what, advice)
