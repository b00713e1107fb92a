"""The bench as a place: the first page, the page before the bench, the bench, and the fitting."""

import gc
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QUrl, Signal
from PySide6.QtGui import QDesktopServices, QKeySequence
from PySide6.QtWidgets import QStackedWidget, QWidget

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.query import Entry
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.devices.discovery import find_ports
from seatproof.devices.errors import DeviceError
from seatproof.gui.archives import Archives
from seatproof.gui.bench.background import Background
from seatproof.gui.bench.view import BenchView
from seatproof.gui.bench_desk import BenchDesk
from seatproof.gui.settings import Action, Settings
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.setup.page import SetupPage
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme
from seatproof.gui.simulation import example_plans
from seatproof.gui.sound.cue import Cue
from seatproof.gui.workplace import Bench, Workplace

if TYPE_CHECKING:
    from seatproof.gui.fitting.desk import FittingDesk
    from seatproof.gui.fitting.page import FittingPage
    from seatproof.gui.setup.first_page import FirstPage

_WORLD: Final = (ArchiveError, DeviceError, PlanError, RecordError)


class BenchPlace(QStackedWidget):
    """Shows one page of the bench at a time, and owns what lies behind it.

    Parameters
    ----------
    workplace : Workplace
    archives : Archives
        Where one's own work and the demonstration lie.
    theme : Theme
    settings : Settings
    form : SetupForm
        What the page before the bench shows first.
    on_cue : callable
        Called with a sound that is to be heard.
    parent : QWidget
        The window.

    Signals
    -------
    begun : SetupForm
        An inspection was opened with what the form says.
    preferences_wanted
    full_screen_wanted : bool
    demonstration_wanted, own_work_wanted
        The demonstration's archive, or one's own, shall be opened.
    language_wanted : str
        The window shall speak that language.
    """

    begun = Signal(object)
    preferences_wanted = Signal()
    full_screen_wanted = Signal(bool)
    demonstration_wanted = Signal()
    own_work_wanted = Signal()
    language_wanted = Signal(str)

    def __init__(
        self,
        workplace: Workplace,
        archives: Archives,
        theme: Theme,
        settings: Settings,
        form: SetupForm,
        on_cue: Callable[[Cue], None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._window = parent
        self._workplace = workplace
        self._archives = archives
        self._theme = theme
        self._settings = settings
        self._form = form
        self._on_cue = on_cue
        self._desk: BenchDesk | None = None
        self._had_bench = False
        self.fitting: FittingDesk | None = None
        self._first: FirstPage | None = None

    # --- what is in front ------------------------------------------------------------------------

    @property
    def setup_page(self) -> SetupPage | None:
        page = self.currentWidget()
        return page if isinstance(page, SetupPage) else None

    @property
    def first_page(self) -> "FirstPage | None":
        return self._first if self._first is self.currentWidget() else None

    @property
    def bench_view(self) -> BenchView | None:
        page = self.currentWidget()
        return page if isinstance(page, BenchView) else None

    @property
    def fitting_page(self) -> "FittingPage | None":
        return None if self.fitting is None else self.fitting.page

    @property
    def topic(self) -> str:
        """What help on the page in front is called."""
        if self.fitting is not None:
            return "fitting"
        return "setup" if self.bench_view is None else "bench"

    @property
    def busy(self) -> str:
        """Why the archive cannot be closed now; empty where it can."""
        if self._desk is not None:
            return say("An inspection is open; leave the bench before the archive is changed.")
        if self.fitting is not None:
            return say("A fitting is open; leave it before the archive is changed.")
        return ""

    def form(self) -> SetupForm:
        """Return what is typed on the page before the bench, or was typed there last."""
        if self.setup_page is not None:
            self._form = self.setup_page.form()
        return self._form

    # --- going from page to page -----------------------------------------------------------------

    def show_first(self) -> None:
        """Show what a newcomer sees."""
        from seatproof.gui.setup.first_page import FirstPage

        self._first = page = FirstPage(self._settings.language, self._archives, self)
        page.demonstration_wanted.connect(self.demonstration_wanted)
        page.own_work_wanted.connect(self.show_setup)
        page.language_wanted.connect(self.language_wanted)
        self._show(page)
        page.setFocus()

    def show_setup(self) -> None:
        """Show the page before the bench, with what was typed last."""
        self.close_bench()
        self._show(self._make_setup_page())

    def measure(self, plan_file: Path) -> None:
        """Show the page before the bench with that plan; not while an inspection is open."""
        if self._desk is not None:
            self._say_at_bench(say("An inspection is open; leave the bench before another begins."))
            return
        self.form().plan_file = str(plan_file)
        self.show_setup()

    def begin(self, form: SetupForm) -> None:
        """Begin an inspection; raises what `Workplace.begin` raises."""
        self._form = form
        self._open_bench(lambda work: self._workplace.begin(form.setup(), work))
        self.begun.emit(form)

    def go_on(self, inspection_id: str, form: SetupForm) -> None:
        """Go on with an inspection; raises what `Workplace.go_on` raises.

        A port chosen in the form puts its gauge in service; otherwise it is the one that was.
        """
        self._form = form
        new_gauge = bool(form.source.strip()) and not form.is_simulated
        self._open_bench(
            lambda work: self._workplace.go_on(
                inspection_id,
                form.inspector,
                form.gauge if new_gauge else None,
                form.temperatures_c(),
                work,
            )
        )
        self.begun.emit(form)

    def fit(self, inspection_id: str, person: str) -> None:
        """Go on with the fitting of a sealed inspection; raises what `Workplace.fit` raises."""
        from seatproof.gui.fitting.desk import FittingDesk

        if self._desk is not None:
            self.show_setup()
        desk = FittingDesk(
            self._workplace,
            inspection_id,
            person,
            self._theme,
            self._settings,
            self.show_setup,
            self._window,
        )
        self.fitting = desk
        self._show(desk.page)
        desk.page.setFocus()

    def restyle(self, theme: Theme, settings: Settings) -> None:
        """Take on what was chosen; pages are made anew by `renew`."""
        self._theme, self._settings = theme, settings
        if self.fitting is not None:
            self.fitting.page.restyle(theme)

    def renew(self) -> None:
        """Make the page in front anew, in the language, the colours and with the keys of now.

        A fitting stays as it is: what is typed there is kept until it is left.
        """
        if self.fitting is not None:
            return
        if self._desk is not None:
            self._show(self._make_bench_view(self._desk.bench))
        elif self.first_page is not None:
            self.show_first()
        else:
            self.form()
            self._show(self._make_setup_page())

    def use_archives(self, archives: Archives) -> None:
        """Let these be one's own archive and the demonstration's."""
        self._archives = archives

    def close_bench(self) -> None:
        """End what is open; everything logged stays."""
        for view in self._window.findChildren(BenchView):
            view.shut()
        if self.fitting is not None:
            self.fitting.shut()
            self.fitting.deleteLater()
            self.fitting = None
        if self._desk is not None:
            self._desk.shut()
            self._desk.deleteLater()
            self._desk = None
        gc.unfreeze()

    # --- pages -----------------------------------------------------------------------------------

    def _make_setup_page(self) -> SetupPage:
        unfinished: tuple[Entry, ...] = ()
        to_fit: tuple[Entry, ...] = ()
        trouble = ""
        archive = self._workplace.archive
        try:
            unfinished = self._workplace.unfinished()
            to_fit = self._workplace.to_fit()
        except ArchiveError as error:
            trouble = str(error)
        plans = (*example_plans(), *self._workplace.kept_plans())
        shown = archive.path if archive.path == self._archives.demonstration else None
        page = SetupPage(
            self._form, plans, find_ports, unfinished, self, to_fit, demonstration=shown
        )
        page.show_trouble(again(trouble or archive.read_only))
        page.begun.connect(self._begin)
        page.resumed.connect(self._go_on)
        page.fitting_wanted.connect(self._fit_from_setup)
        page.preferences_wanted.connect(self.preferences_wanted)
        page.own_work_wanted.connect(self.own_work_wanted)
        return page

    def _make_bench_view(self, bench: Bench) -> BenchView:
        view = BenchView(bench.model, self._theme, bench.simulated, self, self._settings)
        view.left.connect(self.show_setup)
        view.sheet_wanted.connect(self._open_sheet)
        view.fitting_wanted.connect(
            lambda: self._fit(bench.model.state.inspection, bench.model.inspector)
        )
        view.ask_wanted.connect(self._ask_gauge)
        view.wire_log_wanted.connect(self._save_wire_logs)
        view.settings_wanted.connect(self.preferences_wanted)
        view.full_screen_wanted.connect(self.full_screen_wanted)
        return view

    def _show(self, page: QWidget) -> None:
        before = self.currentWidget()
        self.addWidget(page)
        self.setCurrentWidget(page)
        if before is not None:
            self.removeWidget(before)
            before.deleteLater()
        if isinstance(page, BenchView):
            page.setFocus()

    # --- what pages ask for ----------------------------------------------------------------------

    def _begin(self, form: SetupForm) -> None:
        self._try(lambda: self.begin(form))

    def _go_on(self, inspection_id: str, form: SetupForm) -> None:
        self._try(lambda: self.go_on(inspection_id, form))

    def _fit_from_setup(self, inspection_id: str, form: SetupForm) -> None:
        self._form = form
        self._fit(inspection_id, form.inspector)

    def _fit(self, inspection_id: str, person: str) -> None:
        self._try(lambda: self.fit(inspection_id, person))

    def _try(self, do: Callable[[], object]) -> None:
        try:
            do()
        except _WORLD as error:
            if self.setup_page is not None:
                self.setup_page.show_trouble(again(str(error)))

    def _open_bench(self, make: Callable[[Background], Bench]) -> None:
        desk = BenchDesk(self._workplace, make, self._on_cue, self._command, self._window)
        self._desk = desk
        desk.said.connect(self._say_at_bench)
        troubles = desk.open_lines()
        view = self._make_bench_view(desk.bench)
        self._show(view)
        for trouble in troubles:
            view.say(trouble)
        # A long record is hundreds of thousands of objects that live as long as the bench; looking
        # through them for garbage, again and again, would hold presses up by a tenth of a second.
        # What an earlier bench left must be gone before, or it would be kept, too.
        if self._had_bench:
            gc.collect()
        self._had_bench = True
        gc.freeze()

    def _command(self, keys: QKeySequence) -> bool:
        """Do what a character's key stands for at the bench; return whether it does."""
        view = self.bench_view
        if view is None or not view.isVisible():  # its keys act on nothing that is not seen
            return False
        text = keys.toString(QKeySequence.SequenceFormat.PortableText)
        for action in Action:
            if view.bar.isEnabled() and text == self._settings.key(action):
                view.do(action)
                return True
        return False

    def _ask_gauge(self) -> None:
        if self._desk is not None:
            self._desk.ask()

    def _save_wire_logs(self) -> None:
        if self._desk is not None:
            self._say_at_bench(self._desk.save_wire_logs())

    def _open_sheet(self, path: Path) -> None:
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._say_at_bench(
                say(
                    "No program on this computer opened the sheet; it lies at {path}.",
                    path=str(path),
                )
            )

    def _say_at_bench(self, sentence: str) -> None:
        if self.bench_view is not None:
            self.bench_view.say(sentence)
