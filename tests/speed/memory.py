"""What a process holds in memory, as Linux tells it.

The largest size that `getrusage` knows begins with that of the process it was started from; what
stands in ``/proc`` does not.
"""

from pathlib import Path

_KB_PER_MB = 1024.0


def in_use_mb() -> float:
    """Return what is in memory now."""
    return _status("VmRSS")


def most_mb() -> float:
    """Return the most that was in memory since the program began."""
    return _status("VmHWM")


def _status(name: str) -> float:
    lines = Path("/proc/self/status").read_text(encoding="utf-8").splitlines()
    line = next(line for line in lines if line.startswith(f"{name}:"))
    return float(line.split()[1]) / _KB_PER_MB
