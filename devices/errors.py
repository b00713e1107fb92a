"""What can go wrong between a gauge and its readings, as one tree of errors.

    DeviceError
    ├── SourceError            the name of the source cannot be used
    ├── LineSettingsError      the port refuses speed, data bits, parity or stop bits
    ├── PortMissingError       there is no such port now
    ├── PortBusyError          another program holds the port
    ├── PortForbiddenError     this account may not open the port
    ├── PortLostError          the port was open and is gone
    ├── AlikeError             several adapters fit the gauge's record
    ├── FormatError            a format of this name is missing, faulty or does not work
    └── SimulationError        a simulated shaft cannot do what was asked of it

Every error carries its facts as attributes; its text is one sentence for the person at the bench
and says what to do.
"""

import sys
from typing import ClassVar


class DeviceError(Exception):
    """A fault of the world between gauge and program, told as one sentence.

    Attributes
    ----------
    source : str
        The port, URL or file that was asked for, as it was written.
    detail : str
        What the system said, for the log; may be empty.
    may_pass : bool
        Whether waiting and trying again can help.
    """

    may_pass: ClassVar[bool] = False

    def __init__(self, source: str, detail: str = "") -> None:
        self.source = source
        self.detail = detail
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        return f"{self.source} cannot be used: {self.detail}"


class SourceError(DeviceError):
    """The source is not a port, a URL or a capture file that can be read."""


class LineSettingsError(DeviceError):
    """The port is there and refuses the settings of the line.

    Attributes
    ----------
    settings : str
        The settings, such as ``9600 8N1``.
    """

    def __init__(self, source: str, detail: str = "", settings: str = "") -> None:
        self.settings = settings
        super().__init__(source, detail)

    def _sentence(self) -> str:
        return (
            f"{self.source} does not accept the line settings {self.settings}: "
            "check speed, data bits, parity and stop bits against the gauge's manual."
        )


class PortMissingError(DeviceError):
    """No port of this name exists now, or nothing answers at this address."""

    may_pass: ClassVar[bool] = True

    def _sentence(self) -> str:
        if "://" in self.source:
            return (
                f"Nothing answers at {self.source}: check the address and that the other end runs."
            )
        return f"There is no port {self.source}: plug the gauge in, or choose another port."


class PortBusyError(DeviceError):
    """The port exists and another program holds it.

    Attributes
    ----------
    holder : str or None
        Name and number of the process that holds it, where the system tells.
    """

    may_pass: ClassVar[bool] = True

    def __init__(self, source: str, detail: str = "", holder: str | None = None) -> None:
        self.holder = holder
        super().__init__(source, detail)

    def _sentence(self) -> str:
        if self.holder is not None:
            return f"{self.source} is busy: {self.holder} has it open; close that program."
        reason = "another program is using it"
        if sys.platform.startswith("linux"):
            # Modem services probe a new serial port for some ten seconds.
            reason += ", or a system service is still probing it after it was plugged in"
        return f"{self.source} is busy: {reason}; close that program, or wait a few seconds."


class PortForbiddenError(DeviceError):
    """The port exists and this account has no right to open it.

    Attributes
    ----------
    group : str or None
        The group whose members may open the port, where the system tells it.
    """

    may_pass: ClassVar[bool] = True  # rights are set a moment after a port appears

    def __init__(self, source: str, detail: str = "", group: str | None = None) -> None:
        self.group = group
        super().__init__(source, detail)

    def _sentence(self) -> str:
        opening = f"This account may not open {self.source}"
        if self.group is None:
            return f"{opening}: ask whoever looks after this computer for the right to use it."
        return (
            f'{opening}: it belongs to the group "{self.group}"; join the group with '
            f'"sudo usermod -aG {self.group} $USER", log out and log in again.'
        )


class PortLostError(DeviceError):
    """The port was there and stopped answering, as when a cable is pulled."""

    may_pass: ClassVar[bool] = True

    def _sentence(self) -> str:
        return f"The line to {self.source} is gone: check the plug and the cable."


class AlikeError(DeviceError):
    """Which adapter is the gauge's cannot be known; a person has to say.

    Attributes
    ----------
    candidates : tuple of str
        The ports of the adapters that it could be.
    """

    may_pass: ClassVar[bool] = True  # one of them may be unplugged

    def __init__(self, source: str, detail: str = "", candidates: tuple[str, ...] = ()) -> None:
        self.candidates = candidates
        super().__init__(source, detail)

    def _sentence(self) -> str:
        names = " and ".join(self.candidates)
        if len(self.candidates) > 1:
            return (
                f"The adapters at {names} look alike, so which of them is {self.source} is not "
                "known: unplug the other, or name the port itself."
            )
        return (
            f"The adapter at {names} looks like {self.source}, but is in another socket and has no "
            "serial number, so it may be another gauge's: plug it back, or name the port itself."
        )


class FormatError(DeviceError):
    """The format that was asked for cannot be used; `source` is its name or file."""

    def _sentence(self) -> str:
        return f'The format "{self.source}" cannot be used: {self.detail}'


class SimulationError(DeviceError):
    """A simulated shaft or line cannot do what was asked; `detail` is the reason."""

    def _sentence(self) -> str:
        return f"{self.source}: {self.detail}"


class EndOfSource(Exception):  # noqa: N818 - like StopIteration, an end and not a fault
    """A capture file has been replayed to its last byte."""
