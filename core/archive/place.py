"""Where an archive may lie: a disk of this computer that can be written and is not synchronised.

SQLite's log is shared memory between programs of one computer, which a network folder has not; a
program that synchronises a folder copies database and log at different moments.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from seatproof.core.archive.errors import (
    ArchiveGoneError,
    ArchivePlaceError,
    ArchiveReadOnlyError,
    ArchiveUnusableError,
)

# File systems that are on another computer, or that stand for one.
NETWORK_SYSTEMS: Final = frozenset(
    {
        *("9p", "afpfs", "afs", "beegfs", "ceph", "cephfs", "cifs", "coda", "davfs", "davfs2"),
        *("drvfs", "fuse.ceph", "fuse.davfs", "fuse.glusterfs", "fuse.gvfsd-fuse", "fuse.rclone"),
        *("fuse.s3fs", "fuse.smbnetfs", "fuse.sshfs", "fuse.vmhgfs-fuse", "gfs2", "glusterfs"),
        *("gpfs", "lustre", "ncpfs", "nfs", "nfs3", "nfs4", "ocfs2", "prl_fs", "smb", "smb2"),
        *("smb3", "smbfs", "vboxsf", "webdav"),
    }
)
# What the usual programs that synchronise folders leave in, or call, the folder they look after.
SYNC_MARKS: Final = (
    ".dropbox.cache",
    ".stfolder",
    ".seafile-data",
    ".csync_journal.db",
)
SYNC_MARK_ENDINGS: Final = ((".sync_", ".db"), ("._sync_", ".db"))
SYNC_NAMES: Final = (
    "dropbox",
    "onedrive",
    "google drive",
    "googledrive",
    "icloud drive",
    "com~apple~clouddocs",
    "cloudstorage",
    "nextcloud",
    "owncloud",
    "seafile",
    "pclouddrive",
)
SCARCE_BYTES: Final = 50_000_000
_DRIVE_REMOTE: Final = 4  # GetDriveTypeW
_PATIENCE_S: Final = 5.0


@dataclass(frozen=True, slots=True)
class Mount:
    """A file system and the folder under which its files are found."""

    folder: str
    system: str


def check_place_to_write(path: Path) -> None:
    """Refuse a place where an archive could not be written, or not be kept whole."""
    check_place_to_read(path, must_exist=False)
    unwritable = path if path.exists() and not os.access(path, os.W_OK) else None
    if unwritable is None and not os.access(path.parent, os.W_OK):
        unwritable = path.parent
    if unwritable is not None:
        raise ArchiveReadOnlyError(
            path,
            f"{unwritable} is read-only, so no reading could be stored; choose an archive file "
            "in a folder of your own, or ask for the right to write there.",
        )
    where = shared_place(path)
    if where:
        raise ArchivePlaceError(
            path,
            f"{path} lies {where}, where an archive in use may be destroyed; keep it in a folder "
            "on a disk of this computer, and send copies there with: seatproof archive backup.",
        )


def check_place_to_read(path: Path, *, must_exist: bool = True) -> None:
    """Refuse a path that cannot be that of an archive."""
    try:
        is_folder, has_parent = path.is_dir(), path.parent.is_dir()
        exists = path.exists()
    except OSError as error:
        raise ArchiveUnusableError(
            path, f"You have no right to look into {path.parent}; choose another folder."
        ) from error
    if is_folder:
        raise ArchiveUnusableError(path, f"{path} is a folder; name an archive file.")
    if exists and not path.is_file():
        raise ArchiveUnusableError(path, f"{path} is a device, not a file; name an archive file.")
    if not has_parent:
        raise ArchiveUnusableError(
            path, f"The folder {path.parent} does not exist; make it, or name another archive file."
        )
    if not exists and must_exist:
        raise ArchiveUnusableError(path, f"There is no archive {path}; name another file.")
    if exists and not os.access(path, os.R_OK):
        raise ArchiveUnusableError(
            path, f"You have no right to read {path}; ask whoever owns the file for it."
        )


def shared_place(path: Path) -> str:
    """Say in what sense a path is not on a disk of this computer alone; "" where it is."""
    folder = path.parent.resolve()
    if _on_network(folder):
        return "in a network folder"
    looked_after = synchronised_folder(folder)
    return f"in a folder that is synchronised ({looked_after})" if looked_after else ""


def synchronised_folder(folder: Path) -> Path | None:
    """Return the folder at or above this one that a program keeps the same elsewhere."""
    for above in (folder, *folder.parents):
        name = above.name.casefold()
        if any(name == known or name.startswith(f"{known} -") for known in SYNC_NAMES):
            return above
        if any((above / mark).exists() for mark in SYNC_MARKS):
            return above
        for beginning, ending in SYNC_MARK_ENDINGS:
            if next(above.glob(f"{beginning}*{ending}"), None) is not None:
                return above
    return None


def _on_network(folder: Path) -> bool:
    if sys.platform == "win32":
        import ctypes

        root = folder.anchor
        if root.startswith("\\\\"):
            return True
        return bool(ctypes.windll.kernel32.GetDriveTypeW(root) == _DRIVE_REMOTE)
    mounts = mac_mounts() if sys.platform == "darwin" else linux_mounts()
    system = system_at(folder, mounts)
    return system in NETWORK_SYSTEMS


def system_at(folder: Path, mounts: Iterable[Mount]) -> str:
    """Return the kind of file system that a folder is on; "" where that is not known."""
    best = Mount("", "")
    for mount in mounts:
        is_above = folder.is_relative_to(mount.folder)
        if is_above and len(mount.folder) >= len(best.folder):  # a later one covers an earlier
            best = mount
    return best.system


def linux_mounts(table: str | None = None) -> list[Mount]:
    r"""Read the kernel's table of mounts (proc_pid_mountinfo(5)), by default that of this process.

    >>> linux_mounts("36 35 98:0 / /srv/my\\040files rw shared:1 - nfs4 box:/x rw")
    [Mount(folder='/srv/my files', system='nfs4')]
    """
    if table is None:
        try:
            table = Path("/proc/self/mountinfo").read_text("utf-8", "surrogateescape")
        except OSError:
            return []
    mounts = []
    for line in table.splitlines():
        fields, _, rest = line.partition(" - ")
        words = fields.split(" ")
        if len(words) > 4 and rest:
            mounts.append(Mount(_unescaped(words[4]), rest.split(" ")[0]))
    return mounts


def mac_mounts(table: str | None = None) -> list[Mount]:
    """Read what ``mount`` prints on macOS.

    >>> mac_mounts("//ann@box/share on /Volumes/my share (smbfs, nodev, mounted by ann)")
    [Mount(folder='/Volumes/my share', system='smbfs')]
    """
    if table is None:
        try:
            done = subprocess.run(
                ["/sbin/mount"], capture_output=True, timeout=_PATIENCE_S, check=False
            )
        except (OSError, subprocess.TimeoutExpired):
            return []
        table = done.stdout.decode("utf-8", "surrogateescape")
    mounts = []
    for line in table.splitlines():
        head, _, options = line.rpartition(" (")
        _, _, folder = head.partition(" on ")
        if folder:
            mounts.append(Mount(folder, options.split(",")[0].rstrip(")").strip()))
    return mounts


def _unescaped(text: str) -> str:
    for code, sign in (("\\040", " "), ("\\011", "\t"), ("\\012", "\n"), ("\\134", "\\")):
        text = text.replace(code, sign)
    return text


class Footing:
    """The file that was opened: the very one, wherever its name may point later."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._opened = path.stat()

    def check(self) -> None:
        """Refuse to write where nobody would find it: another file lies there now, or none."""
        try:
            same = os.path.samestat(self._path.stat(), self._opened)
        except OSError:
            same = False
        if not same:
            raise ArchiveGoneError(
                self._path,
                f"{self._path} was moved, removed or exchanged while it was open, so nothing more "
                "is stored in it; put the file back, then open the archive again.",
            )

    def trouble_ahead(self) -> str:
        """Say why the next event might not be stored; "" where nothing speaks against it."""
        try:
            self.check()
            room = shutil.disk_usage(self._path.parent).free
        except ArchiveGoneError as error:
            return str(error)
        except OSError as error:
            return f"The disk that holds {self._path} does not answer ({error.strerror})."
        if room < SCARCE_BYTES:
            return (
                f"The disk that holds {self._path} has {room / 1e6:.0f} MB left; make room before "
                "it is full."
            )
        return ""
