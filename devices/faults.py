"""The one place where exceptions of pyserial and of the system become a `DeviceError`.

Nothing else in the program has to know that a pulled cable may show as an OSError, a termios.error
or a TypeError, by platform and by call.
"""

import errno
import re
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Final

from seatproof.devices.errors import (
    DeviceError,
    LineSettingsError,
    PortBusyError,
    PortForbiddenError,
    PortLostError,
    PortMissingError,
    SourceError,
)
from seatproof.devices.holders import who_holds


class Step(StrEnum):
    """What was being done with the port."""

    OPEN = "open"
    READ = "read"
    WRITE = "write"
    CLOSE = "close"


def _termios_error() -> tuple[type[Exception], ...]:
    if sys.platform == "win32":
        return ()
    import termios

    return (termios.error,)


_TERMIOS_ERROR: Final = _termios_error()
# A descriptor that vanished under pyserial shows as any of the last three. Only single calls into
# pyserial run under this net, so that it hides no mistake of ours.
_CAUGHT: Final[tuple[type[Exception], ...]] = (
    OSError,
    *_TERMIOS_ERROR,
    TypeError,
    AttributeError,
    ValueError,
)

_MISSING: Final = frozenset(
    {
        errno.ENOENT,
        errno.ENODEV,
        errno.ENXIO,
        errno.ECONNREFUSED,
        errno.ECONNRESET,
        errno.EHOSTUNREACH,
        errno.ENETUNREACH,
        errno.ETIMEDOUT,
    }
)
_BUSY: Final = frozenset({errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK})
_FORBIDDEN: Final = frozenset({errno.EACCES, errno.EPERM})
_NO_PORT: Final = frozenset({errno.ENOTTY, errno.EISDIR})

# On Windows pyserial keeps the number only inside its text: PermissionError(13, 'Access is ...').
_NUMBER_IN_TEXT: Final = re.compile(r"Error\((\d+),")


@contextmanager
def device_errors(source: str, step: Step, settings: object = None) -> Iterator[None]:
    """Run one call into pyserial; what it raises becomes a `DeviceError`.

    `settings` are those of the line, for the sentence where a port refuses them.
    """
    try:
        yield
    except _CAUGHT as error:
        raise _device_error(error, source, step, settings) from error


def _device_error(error: Exception, source: str, step: Step, settings: object) -> DeviceError:
    """Say what an exception of pyserial or of the system means for the line."""
    detail = f"{step}: {type(error).__name__}: {error}"
    if step is not Step.OPEN:
        return PortLostError(source, detail)
    causes = list(_chain(error))
    number = next((n for n in map(_errno_of, causes) if n is not None), None)
    if number in _MISSING or any(isinstance(c, socket.gaierror | TimeoutError) for c in causes):
        return PortMissingError(source, detail)
    if number in _BUSY:
        return PortBusyError(source, detail, holder=who_holds(source))
    if number in _FORBIDDEN:
        if sys.platform == "win32":  # it denies access to a port that somebody else holds
            return PortBusyError(source, detail)
        return PortForbiddenError(source, detail, group=_owning_group(source))
    if number in _NO_PORT:
        return SourceError(
            source, "it is no serial port; to replay a file of bytes, name it file:PATH."
        )
    if isinstance(error, ValueError) or (number == errno.EINVAL and sys.platform != "win32"):
        return LineSettingsError(source, detail, settings=str(settings))
    return PortLostError(source, detail)


def _chain(error: BaseException) -> Iterator[BaseException]:
    seen: BaseException | None = error
    while seen is not None:
        yield seen
        seen = seen.__cause__ or seen.__context__


def _errno_of(error: BaseException) -> int | None:
    if isinstance(error, socket.gaierror):
        return None  # its number is of another series
    if isinstance(error, OSError) and error.errno is not None:
        return error.errno
    if isinstance(error, _TERMIOS_ERROR) and error.args and isinstance(error.args[0], int):
        return error.args[0]
    in_text = _NUMBER_IN_TEXT.search(str(error)) if sys.platform == "win32" else None
    return None if in_text is None else int(in_text[1])


def _owning_group(source: str) -> str | None:
    """Name the group that may open a port; None where joining a group would not help."""
    if sys.platform == "win32":
        return None
    import grp
    import stat

    try:
        status = Path(source).stat()
        if status.st_gid == 0 or status.st_mode & (stat.S_IRGRP | stat.S_IWGRP) != (
            stat.S_IRGRP | stat.S_IWGRP
        ):
            return None
        return grp.getgrgid(status.st_gid).gr_name
    except (OSError, KeyError):
        return None
