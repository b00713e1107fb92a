"""What can be wrong with people, passphrases and lists of keys.

PeopleError
    PersonRefusedError      the thing asked of the register cannot be done
    PassphraseWrongError    the passphrase does not open the key
    PassphraseTooSoonError  after wrong passphrases, the next may be tried later only
    KeyListError            a file that is no list of public keys, or cannot be read
"""

from math import ceil
from pathlib import Path


class PeopleError(Exception):
    """Something about people and keys that whoever asks can act on."""


class PersonRefusedError(PeopleError):
    """The register was not changed."""


class PassphraseWrongError(PeopleError):
    """The passphrase does not open the key; `wait_s` is how long the next try has to wait."""

    def __init__(self, name: str, wrong: int, wait_s: float) -> None:
        self.name = name
        self.wrong = wrong
        self.wait_s = wait_s
        later = f" The next try is possible in {_span(wait_s)}." if wait_s > 0 else ""
        super().__init__(f"That is not the passphrase of {name}.{later}")


class PassphraseTooSoonError(PeopleError):
    """Too many passphrases were wrong; nothing was tried."""

    def __init__(self, name: str, wrong: int, wait_s: float) -> None:
        self.name = name
        self.wrong = wrong
        self.wait_s = wait_s
        super().__init__(
            f"{wrong} passphrases for {name} were wrong; try again in {_span(wait_s)}, or have an "
            "administrator give a new key."
        )


class KeyListError(PeopleError):
    """A list of public keys that cannot be used."""

    def __init__(self, path: Path | None, finding: str) -> None:
        self.path = path
        self.finding = finding
        what = "The list of keys" if path is None else f"The list of keys {path}"
        super().__init__(f"{what} cannot be used: {finding}.")


def _span(seconds: float) -> str:
    whole = ceil(seconds)
    if whole < 120:
        return f"{whole} s"
    return f"{ceil(whole / 60)} minutes"
