"""The gauge's end of a line that the program opens like any port.

A pseudo-terminal where the system has them, elsewhere or by choice a local TCP port. Neither needs
a thread. Bytes that nobody listens to are lost, as on a real line.
"""

import logging
import os
import socket
import sys
import time
from pathlib import Path
from typing import Final, Protocol

from seatproof.devices.errors import SimulationError

_logger = logging.getLogger(__name__)

HAS_PTY: Final = sys.platform != "win32"

_LOOK_S: Final = 0.01
_MAX_READ_BYTES: Final = 1024


class _End(Protocol):
    """One plugged-in line."""

    source: str

    def send(self, data: bytes) -> int: ...
    def receive(self) -> bytes: ...
    def close(self) -> None: ...


class SimulatedLine:
    """A line with a simulated gauge at this end.

    Parameters
    ----------
    link : Path or None
        A name under which the line can be opened that stays the same over `unplug` and `replug`,
        as a system's stable names for adapters do. Pseudo-terminals only.
    tcp : bool
        Use a local TCP port even where there are pseudo-terminals.

    Raises
    ------
    SimulationError
        The link cannot be made, or the system gives no line.
    """

    def __init__(self, *, link: Path | None = None, tcp: bool = not HAS_PTY) -> None:
        if tcp and link is not None:
            raise SimulationError(str(link), "a network port has no file name; leave the link out.")
        self._link = link
        self._tcp = tcp
        self._tcp_port = 0  # the system chooses one, and it is kept from then on
        self._end: _End | None = None
        self.source: str = ""
        self.replug()

    @property
    def is_plugged(self) -> bool:
        """Whether the line can be opened."""
        return self._end is not None

    @property
    def path_of_port(self) -> str | None:
        """Name that the system gave the line, whatever the link is called; None if unplugged."""
        return None if self._end is None else self._end.source

    def send(self, data: bytes) -> bool:
        """Send bytes to whoever has the line open; return whether the line took all of them.

        A pseudo-terminal keeps a few thousand bytes for a listener to come.
        """
        return self._end is not None and self._end.send(data) == len(data)

    def receive(self, timeout_s: float = 0.0) -> bytes:
        """Return what a program has sent to the gauge, waiting for it at most so long."""
        deadline_s = time.monotonic() + timeout_s
        while True:
            data = b"" if self._end is None else self._end.receive()
            if data or time.monotonic() >= deadline_s:
                return data
            time.sleep(_LOOK_S)

    def unplug(self) -> None:
        """Pull the cable: who has the line open loses it, and nobody can open it."""
        if self._end is None:
            return
        if self._link is not None:
            _unlink(self._link, self._end.source)
        self._end.close()
        self._end = None

    def replug(self, *, renamed: bool = False) -> None:
        """Put the cable back in: a new line.

        Under the same name where that is possible, or under another one, as when a system still
        keeps the old name for a program that has not closed it. A link stays what it was.
        """
        if self._end is not None:
            return
        if renamed and not self._tcp:
            self._replug_beside(self.source if self._link is None else "")
            return
        self._plug_in(tcp_port=0 if renamed else self._tcp_port)

    def _replug_beside(self, old_name: str) -> None:
        """Take the old name with a line that nobody gets, so that the new one has another."""
        with SimulatedLine(tcp=False):
            self._plug_in(tcp_port=0)
        if self.source == old_name:
            raise SimulationError("simulated line", "the system gave the old name again.")

    def _plug_in(self, tcp_port: int) -> None:
        try:
            if self._tcp:
                end = _TcpEnd(tcp_port)
                self._tcp_port = end.port
                self._end, self.source = end, end.source
            else:
                self._end = _PtyEnd()
                self.source = self._end.source if self._link is None else str(self._link)
        except OSError as error:
            raise SimulationError("simulated line", f"the system gives none ({error}).") from error
        if self._link is not None:
            try:
                _relink(self._link, self._end.source)
            except OSError as error:
                self.close()
                reason = f"the link cannot be made ({error.strerror or error})."
                raise SimulationError(str(self._link), reason) from error

    def close(self) -> None:
        """Take the line away for good; may be called again."""
        self.unplug()

    def __enter__(self) -> "SimulatedLine":
        return self

    def __exit__(self, *exc_info: object) -> None:
        self.close()


class _PtyEnd:
    """A pseudo-terminal; the program opens its slave side by name."""

    def __init__(self) -> None:
        if sys.platform == "win32":
            raise OSError("this system has no pseudo-terminals")
        import tty

        # This process keeps the slave side open as well: a pseudo-terminal without any would give
        # errors at this end before the first and after the last listener.
        self._master, self._slave = os.openpty()
        # Raw before anybody listens: a terminal echoes, and turns CR into LF.
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.source = os.ttyname(self._slave)

    def send(self, data: bytes) -> int:
        try:
            return os.write(self._master, data)
        except BlockingIOError:
            return 0  # nobody reads, and the system's buffer is full

    def receive(self) -> bytes:
        try:
            return os.read(self._master, _MAX_READ_BYTES)
        except BlockingIOError:
            return b""

    def close(self) -> None:
        os.close(self._slave)
        os.close(self._master)


class _TcpEnd:
    """A TCP port of this computer only."""

    def __init__(self, port: int) -> None:
        self._listener = socket.create_server(("127.0.0.1", port))
        self._listener.setblocking(False)
        self._peers: list[socket.socket] = []
        self.port: int = self._listener.getsockname()[1]
        self.source = f"socket://127.0.0.1:{self.port}"

    def send(self, data: bytes) -> int:
        self._accept()
        n_sent = 0
        for peer in tuple(self._peers):
            try:
                n_sent = max(n_sent, peer.send(data))
            except BlockingIOError:
                continue  # this listener does not read
            except OSError as error:
                _logger.info("a listener of %s is gone: %s", self.source, error)
                self._peers.remove(peer)
                peer.close()
        return n_sent

    def receive(self) -> bytes:
        self._accept()
        for peer in self._peers:
            try:
                data = peer.recv(_MAX_READ_BYTES)
            except OSError:  # nothing there, or gone; the next sending finds out
                continue
            if data:
                return data
        return b""

    def close(self) -> None:
        # Whoever connected since the last sending loses its line like the others.
        self._accept()
        for peer in self._peers:
            peer.close()
        self._peers.clear()
        self._listener.close()

    def _accept(self) -> None:
        while True:
            try:
                peer, _ = self._listener.accept()
            except BlockingIOError:
                return
            peer.setblocking(False)
            self._peers.append(peer)


def _relink(link: Path, target: str) -> None:
    """Point a link at the new line in one step; refuse to replace anything that is no link."""
    if link.exists() and not link.is_symlink():
        raise FileExistsError(0, "a file of this name exists")
    unfinished = link.with_name(f"{link.name}.{os.getpid()}.part")
    unfinished.symlink_to(target)
    unfinished.replace(link)


def _unlink(link: Path, target: str) -> None:
    """Take the link away, if it is still ours."""
    try:
        if str(link.readlink()) == target:
            link.unlink()
    except OSError as error:
        _logger.info("the link %s was gone already: %s", link, error)
