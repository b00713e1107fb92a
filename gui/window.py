"""The window: the page before the bench, the bench, and preferences; it owns lines and archive."""

import gc
import logging
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QUrl
from PySide6.QtGui import QCloseEvent, QDesktopServices, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QHBoxLayout, QMainWindow, QStackedWidget, QWidget

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.query import Entry
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.kinds import GaugeInService
from seatproof.devices.discovery import find_ports
from seatproof.devices.errors import DeviceError
from seatproof.gui.bench.background import Background
from seatproof.gui.bench.line import GaugeLines
from seatproof.gui.bench.taking import taking_of
from seatproof.gui.bench.view import BenchView
from seatproof.gui.places import BENCH, PLACES, Place
from seatproof.gui.preferences.page import PreferencesPage
from seatproof.gui.settings import Action, Settings, save_settings
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.setup.page import SetupPage
from seatproof.gui.shared.key_filter import KeyFilter
from seatproof.gui.shared.rail import Rail
from seatproof.gui.shared.theme import Theme, apply_theme, theme_called
from seatproof.gui.simulation import example_plans
from seatproof.gui.sound.player import SoundPlayer
from seatproof.gui.workplace import Bench, Workplace

if TYPE_CHECKING:
    from seatproof.gui.fitting.desk import FittingDesk
    from seatproof.gui.fitting.page import FittingPage

_TEXT_STEP = 25
_logger = logging.getLogger(__name__)
_WORLD = (ArchiveError, DeviceError, PlanError, RecordError)


class MainWindow(QMainWindow):
    """The one window of the program.

    Parameters
    ----------
    workplace : Workplace
    theme : Theme
        Already applied.
    form : SetupForm
        What the page before the bench shows first.
    text_scale : float
        Already applied.
    settings : Settings or None
        Sounds and keys; those of a newcomer unless given. Theme and text size are as above.
    settings_file : Path or None
        Where changed settings are kept; nowhere unless given.
    """

    def __init__(
        self,
        workplace: Workplace,
        theme: Theme,
        form: SetupForm,
        text_scale: float = 1.0,
        *,
        settings: Settings | None = None,
        settings_file: Path | None = None,
    ) -> None:
        super().__init__()
        self._workplace = workplace
        self._theme = theme
        self._form = form
        self._settings = (settings or Settings()).model_copy(
            update={"theme": theme.name, "text_percent": round(text_scale * 100)}
        )
        self._settings_file = settings_file
        self._bench: Bench | None = None
        self._lines: GaugeLines | None = None
        self._fitting: FittingDesk | None = None
        self._background: Background | None = None
        self._keys: KeyFilter | None = None
        self._covered: QWidget | None = None  # the page under the preferences
        self._was_maximized = False
        self._player = SoundPlayer(self._settings.volume_percent, self._settings.muted, parent=self)
        self._pages = QStackedWidget()  # of the bench: before it, at it, preferences
        self._made: dict[str, QWidget] = {BENCH.word: self._pages}
        self._stack = QStackedWidget()
        self._stack.addWidget(self._pages)
        self._names = {name.word: name for name in PLACES if name.exists}
        self.rail = Rail(tuple(self._names))
        self.rail.chosen.connect(self.go_to_place)
        frame = QWidget()
        row = QHBoxLayout(frame)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.rail)
        row.addWidget(self._stack, 1)
        self.setCentralWidget(frame)
        self.rail.show_chosen(BENCH.word)
        self.setWindowTitle("Seatproof")
        for keys, by in (("Ctrl++", _TEXT_STEP), ("Ctrl+=", _TEXT_STEP), ("Ctrl+-", -_TEXT_STEP)):
            QShortcut(QKeySequence(keys), self).activated.connect(
                lambda by=by: self.set_text_scale((self._settings.text_percent + by) / 100)
            )
        self.show_setup()

    @property
    def setup_page(self) -> SetupPage | None:
        page = self._pages.currentWidget()
        return page if isinstance(page, SetupPage) else None

    @property
    def bench_view(self) -> BenchView | None:
        page = self._pages.currentWidget()
        return page if isinstance(page, BenchView) else None

    @property
    def preferences_page(self) -> PreferencesPage | None:
        page = self._pages.currentWidget()
        return page if isinstance(page, PreferencesPage) else None

    def go_to_place(self, word: str) -> None:
        """Bring a place to the front; the bench goes on behind it."""
        place = self._made.get(word)
        if place is None:
            place = self._names[word].make(self._workplace, self._theme, self._settings)
            self._made[word] = place
            if hasattr(place, "measure_wanted"):
                place.measure_wanted.connect(self.measure)
            self._stack.addWidget(place)
        self._stack.setCurrentWidget(place)
        self.rail.show_chosen(word)
        if word == BENCH.word:
            current = self._pages.currentWidget() or self._pages
            current.setFocus()
        else:
            cast(Place, place).activate()

    def measure(self, plan_file: Path) -> None:
        """Go to the page before the bench with that plan; not while an inspection is open."""
        self.go_to_place(BENCH.word)
        if self._bench is not None:
            if self.bench_view is not None:
                self.bench_view.say("An inspection is open; leave the bench before another begins.")
            return
        if self.setup_page is not None:
            self._form = self.setup_page.form()
        self._form.plan_file = str(plan_file)
        self.show_setup()

    def show_setup(self) -> None:
        """Show the page before the bench, with what was typed last."""
        self._close_bench()
        self._show(self._make_setup_page())

    def show_preferences(self) -> None:
        """Show the preferences over what is there; the bench goes on under them."""
        if self.preferences_page is not None:
            return
        if self.setup_page is not None:
            self._form = self.setup_page.form()
        page = PreferencesPage(self._settings, self)
        page.chosen.connect(self.use_settings)
        page.tried.connect(self._player.play)
        page.left.connect(self._leave_preferences)
        self._covered = self._pages.currentWidget()
        self._pages.addWidget(page)
        self._pages.setCurrentWidget(page)
        page.setFocus()

    def use_settings(self, settings: Settings) -> None:
        """Let settings hold from now on, and keep them."""
        self._settings = settings
        self._theme = theme_called(settings.theme)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        apply_theme(app, self._theme, settings.text_scale)
        self._player.set_loudness(settings.volume_percent, settings.muted)
        for place in self._other_places():
            place.restyle(self._theme, settings.text_scale)
        if self._fitting is not None:
            self._fitting.page.restyle(self._theme)
        if self._settings_file is None:
            return
        trouble = save_settings(settings, self._settings_file)
        if trouble and self.preferences_page is not None:
            self.preferences_page.show_trouble(trouble)

    def set_text_scale(self, scale: float) -> None:
        """Make the text of the whole program larger or smaller, between the ordinary and twice."""
        percent = round(min(max(scale, 1.0), 2.0) * 100)
        self.use_settings(self._settings.model_copy(update={"text_percent": percent}))
        if self.preferences_page is not None:
            self.preferences_page.show_settings(self._settings)

    def begin(self, form: SetupForm) -> None:
        """Begin an inspection; raises what `Workplace.begin` raises."""
        self._form = form
        self._open_bench(lambda work: self._workplace.begin(form.setup(), work))

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

    def fit(self, inspection_id: str, person: str) -> None:
        """Go on with the fitting of a sealed inspection; raises what `Workplace.fit` raises."""
        from seatproof.gui.fitting.desk import FittingDesk

        if self._bench is not None:
            self.show_setup()
        desk = FittingDesk(
            self._workplace,
            inspection_id,
            person,
            self._theme,
            self._settings,
            self.show_setup,
            self,
        )
        self._fitting = desk
        self._show(desk.page)
        desk.page.setFocus()

    @property
    def fitting_page(self) -> "FittingPage | None":
        return None if self._fitting is None else self._fitting.page

    def closeEvent(self, event: QCloseEvent) -> None:
        for place in self._other_places():
            place.shut()
        self._close_bench()
        self._player.close()
        self._workplace.close()
        event.accept()

    def _other_places(self) -> tuple[Place, ...]:
        """Return the places that were gone to, except the bench."""
        return tuple(cast(Place, made) for word, made in self._made.items() if word != BENCH.word)

    # --- pages -----------------------------------------------------------------------------------

    def _make_setup_page(self) -> SetupPage:
        unfinished: tuple[Entry, ...] = ()
        to_fit: tuple[Entry, ...] = ()
        trouble = ""
        try:
            unfinished = self._workplace.unfinished()
            to_fit = self._workplace.to_fit()
        except ArchiveError as error:
            trouble = str(error)
        trouble = trouble or self._workplace.archive.read_only
        plans = (*example_plans(), *self._workplace.kept_plans())
        page = SetupPage(self._form, plans, find_ports, unfinished, self, to_fit)
        page.show_trouble(trouble)
        page.begun.connect(self._begin)
        page.resumed.connect(self._go_on)
        page.fitting_wanted.connect(self._fit_from_setup)
        page.preferences_wanted.connect(self.show_preferences)
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
        view.settings_wanted.connect(self.show_preferences)
        view.full_screen_wanted.connect(self._fill_screen)
        return view

    def _leave_preferences(self) -> None:
        """Go back; the page is made anew, in the colours and with the keys that hold now."""
        covered, self._covered = self._covered, None
        page = (
            self._make_bench_view(self._bench)
            if self._bench is not None
            else self._make_setup_page()
        )
        self._show(page)
        if covered is not None:
            self._pages.removeWidget(covered)
            covered.deleteLater()

    def _show(self, page: QWidget) -> None:
        before = self._pages.currentWidget()
        self._pages.addWidget(page)
        self._pages.setCurrentWidget(page)
        if before is not None:
            self._pages.removeWidget(before)
            before.deleteLater()
        if isinstance(page, BenchView):
            page.setFocus()

    def _fill_screen(self, wanted: bool) -> None:
        if wanted:
            self._was_maximized = self.isMaximized()
            self.showFullScreen()
        elif self.isFullScreen():
            (self.showMaximized if self._was_maximized else self.showNormal)()

    # --- the bench -------------------------------------------------------------------------------

    def _begin(self, form: SetupForm) -> None:
        try:
            self.begin(form)
        except _WORLD as error:
            self._say_on_setup(str(error))

    def _go_on(self, inspection_id: str, form: SetupForm) -> None:
        try:
            self.go_on(inspection_id, form)
        except _WORLD as error:
            self._say_on_setup(str(error))

    def _fit_from_setup(self, inspection_id: str, form: SetupForm) -> None:
        self._form = form
        self._fit(inspection_id, form.inspector)

    def _fit(self, inspection_id: str, person: str) -> None:
        try:
            self.fit(inspection_id, person)
        except _WORLD as error:
            self._say_on_setup(str(error))

    def _say_on_setup(self, sentence: str) -> None:
        if self.setup_page is not None:
            self.setup_page.show_trouble(sentence)

    def _open_bench(self, make: Callable[[Background], Bench]) -> None:
        background = Background(self)
        try:
            bench = make(background)
        except BaseException:
            background.stop()
            raise
        self._background, self._bench = background, bench
        lines = GaugeLines(self)
        self._lines = lines
        lines.arrived.connect(lambda *_: background.hold_back())
        lines.arrived.connect(lambda number, arrival: bench.model.take(arrival, number))
        lines.changed.connect(lambda number, line: bench.model.take_line(line, number))
        lines.sampled.connect(lambda number, sample: bench.model.take_sample(sample, number))
        bench.model.on_cue = self._player.play
        bench.model.hint_of = lines.hint
        bench.model.on_gauge = self._open_further_line
        # A line settles for a moment after it was opened; the view is made meanwhile.
        troubles = [self._open_line(gauge) for gauge in bench.gauges]
        view = self._make_bench_view(bench)
        self._show(view)
        for trouble in filter(None, troubles):
            view.say(trouble)
        # A long record is hundreds of thousands of objects that live as long as the bench; looking
        # through them for garbage, again and again, would hold presses up by a tenth of a second.
        gc.freeze()

    def _open_line(self, gauge: GaugeInService) -> str:
        """Read a gauge, and return what stands in the way of that."""
        lines = self._lines
        if lines is None:
            return ""
        trouble = ""
        try:
            lines.open(gauge.inventory_number, gauge.source, gauge.format, taking_of(gauge))
        except DeviceError as error:
            trouble = str(error)
        if lines.types and self._keys is None:
            self._keys = KeyFilter(self, lines.type_in, self._command)
        return trouble

    def _open_further_line(self, gauge: GaugeInService) -> None:
        trouble = self._open_line(gauge)
        if trouble and self.bench_view is not None:
            self.bench_view.say(trouble)

    def _command(self, keys: QKeySequence) -> bool:
        """Do what a character's key stands for at the bench; return whether it does."""
        view = self.bench_view
        text = keys.toString(QKeySequence.SequenceFormat.PortableText)
        for action in Action:
            if view is not None and view.bar.isEnabled() and text == self._settings.key(action):
                view.do(action)
                return True
        return False

    def _ask_gauge(self) -> None:
        if self._lines is not None and self._bench is not None:
            self._lines.ask(self._bench.model.gauge_number)

    def _save_wire_logs(self) -> None:
        if self._lines is None or self._bench is None or self.bench_view is None:
            return
        sentences = []
        for number in self._lines.numbers:
            try:
                path = self._workplace.wire_log_file(self._bench.model.state, number)
                self._lines.save_wire_log(number, path)
                sentences.append(f"What came from {number} is saved as {path}.")
            except (DeviceError, OSError) as error:
                sentences.append(str(error))
        self.bench_view.say("\n".join(sentences))

    def _open_sheet(self, path: Path) -> None:
        opened = QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
        if not opened and self.bench_view is not None:
            self.bench_view.say(f"No program on this computer opened the sheet; it lies at {path}.")

    def _close_bench(self) -> None:
        for view in self.findChildren(BenchView):
            view.shut()
        if self._fitting is not None:
            self._fitting.shut()
            self._fitting.deleteLater()
            self._fitting = None
        if self._keys is not None:
            self._keys.stop()
            self._keys.deleteLater()
            self._keys = None
        if self._lines is not None:
            if not self._lines.stop():
                _logger.warning("a gauge's line is still closing; the window does not wait")
            self._lines.deleteLater()
            self._lines = None
        if self._background is not None:
            if not self._background.stop():
                _logger.warning("an evaluation is still going on; the window does not wait")
            self._background.deleteLater()
            self._background = None
        if self._bench is not None and self._bench.simulated is not None:
            self._bench.simulated.close()
        self._bench = None
        gc.unfreeze()
