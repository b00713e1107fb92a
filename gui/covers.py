"""What lies over the place in front, settings and help, and the way back to exactly there."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shiboken6
from PySide6.QtWidgets import QApplication, QStackedWidget, QWidget

if TYPE_CHECKING:
    from seatproof.gui.help.page import HelpPage
    from seatproof.gui.preferences.page import PreferencesPage


@dataclass(frozen=True, slots=True)
class _Cover:
    """A page, and what the keyboard acted on under it."""

    page: QWidget
    focused: QWidget | None
    settings: "PreferencesPage | None" = None
    help: "HelpPage | None" = None


class Covers:
    """Lays pages over what a stack shows; what is under them is hidden and stays as it is.

    Parameters
    ----------
    stack : QStackedWidget
    show_place : callable
        Brings the place in front back, once nothing lies over it, and returns it.
    on_change : callable
        Called when another page lies uppermost, or none.
    """

    def __init__(
        self,
        stack: QStackedWidget,
        show_place: Callable[[], QWidget],
        on_change: Callable[[], object],
    ) -> None:
        self._stack = stack
        self._show_place = show_place
        self._on_change = on_change
        self._covers: list[_Cover] = []

    def __bool__(self) -> bool:
        return bool(self._covers)

    @property
    def settings(self) -> "PreferencesPage | None":
        """The page of the settings, where it lies uppermost."""
        return self._covers[-1].settings if self._covers else None

    @property
    def help(self) -> "HelpPage | None":
        """The page of help, where it lies uppermost."""
        return self._covers[-1].help if self._covers else None

    def lay_settings(self, page: "PreferencesPage") -> None:
        """Lay the settings over what is in front."""
        self._lay(_Cover(page, QApplication.focusWidget(), settings=page))

    def lay_help(self, page: "HelpPage") -> None:
        """Lay help over what is in front."""
        self._lay(_Cover(page, QApplication.focusWidget(), help=page))

    def renew_settings(self, page: "PreferencesPage") -> None:
        """Put a page made anew in place of the settings that lie uppermost."""
        before = self._covers.pop()
        self._lay(_Cover(page, before.focused, settings=page))
        self._take_away(before.page)

    def raise_uppermost(self) -> None:
        """Show the uppermost page again, after something was put into the stack."""
        if self._covers:
            self._stack.setCurrentWidget(self._covers[-1].page)

    def uncover(self) -> None:
        """Take away what lies uppermost, and go on with what is under it."""
        if not self._covers:
            return
        over = self._covers.pop()
        if self._covers:
            under = self._covers[-1].page
            self._stack.setCurrentWidget(under)
        else:
            under = self._show_place()
        focused = over.focused
        if focused is not None and shiboken6.isValid(focused) and under.isAncestorOf(focused):
            focused.setFocus()
        else:
            under.setFocus()
        self._take_away(over.page)
        self._on_change()

    def uncover_all(self) -> None:
        """Take away everything that lies over the place in front."""
        while self._covers:
            self.uncover()

    def _lay(self, cover: _Cover) -> None:
        self._covers.append(cover)
        self._stack.addWidget(cover.page)
        self._stack.setCurrentWidget(cover.page)
        cover.page.setFocus()
        self._on_change()

    def _take_away(self, page: QWidget) -> None:
        self._stack.removeWidget(page)
        page.deleteLater()
