"""Attachments: bytes that a record names by their SHA-256, such as photos; never changed."""

import hashlib
import sqlite3
from pathlib import Path
from typing import Final

from seatproof.core.archive.errors import AttachmentError
from seatproof.core.record.kinds import MAX_PHOTO_BYTES

MAX_ATTACHMENT_BYTES: Final = MAX_PHOTO_BYTES


def insert_attachment(path: Path, db: sqlite3.Connection, content: bytes) -> str:
    """Keep bytes, once, within the caller's transaction; return the name they have."""
    if not content:
        raise AttachmentError(path, "The attachment is empty; choose another file.")
    if len(content) > MAX_ATTACHMENT_BYTES:
        raise AttachmentError(
            path,
            f"The attachment has {len(content) / 1e6:.1f} MB, and at most "
            f"{MAX_ATTACHMENT_BYTES / 1e6:.0f} MB are kept; make it smaller.",
        )
    digest = hashlib.sha256(content).hexdigest()
    db.execute(
        "INSERT INTO attachment (sha256, content) SELECT ?1, ?2 "
        "WHERE NOT EXISTS (SELECT 1 FROM attachment WHERE sha256 = ?1)",
        (digest, content),
    )
    return digest


def read_attachment(path: Path, db: sqlite3.Connection, digest: str) -> bytes:
    """Return the bytes of that name.

    Raises
    ------
    AttachmentError
        There are none, or they are not what they were.
    """
    row = db.execute("SELECT content FROM attachment WHERE sha256 = ?", (digest,)).fetchone()
    if row is None:
        raise AttachmentError(path, f"The archive {path} holds no attachment {digest}.")
    content = bytes(row[0])
    if hashlib.sha256(content).hexdigest() != digest:
        raise AttachmentError(
            path, f"The attachment {digest} in {path} was altered; take it from a backup."
        )
    return content


def has_attachment(db: sqlite3.Connection, digest: str) -> bool:
    """Tell whether there are bytes of that name."""
    found = db.execute("SELECT 1 FROM attachment WHERE sha256 = ?", (digest,)).fetchone()
    return found is not None
