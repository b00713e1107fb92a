"""The window: the rail, the places, settings and help over them; it owns the archive."""

from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

from PySide6.QtGui import QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Archive
from seatproof.gui.archives import Archives
from seatproof.gui.bench.view import BenchView
from seatproof.gui.bench_place import BenchPlace
from seatproof.gui.copying import Copier
from seatproof.gui.covers import Covers
from seatproof.gui.notice import Notice
from seatproof.gui.places import BENCH, PLACES, Place, holds_unsaved
from seatproof.gui.remembered import Remembered, save_remembered
from seatproof.gui.settings import Settings, save_settings
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.setup.page import SetupPage
from seatproof.gui.shared.rail import Rail
from seatproof.gui.shared.saying import again, say, use_language
from seatproof.gui.shared.theme import Theme, apply_theme, theme_called
from seatproof.gui.sound.player import SoundPlayer
from seatproof.gui.workplace import Workplace

if TYPE_CHECKING:
    from seatproof.gui.fitting.desk import FittingDesk
    from seatproof.gui.fitting.page import FittingPage
    from seatproof.gui.help.page import HelpPage
    from seatproof.gui.preferences.page import PreferencesPage

# Settings and help are loaded when they are asked for: the bench starts without them.
PROGRAM_NAME: Final = "Seatproof"
_TEXT_STEP: Final = 25


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
        All that is chosen; the choices of a newcomer unless given. Theme and text size are as
        above.
    settings_file : Path or None
        Where changed settings are kept; nowhere unless given.
    archives : Archives or None
        One's own archive and the demonstration's; unless given, the one that is open and one
        beside it.
    remembered : Remembered or None
        What fills the form where it says nothing.
    remembered_file : Path or None
        Where the window keeps what it remembers; nowhere unless given.
    first_start : bool
        Nothing was ever measured: begin with the page that says what the program does.
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
        archives: Archives | None = None,
        remembered: Remembered | None = None,
        remembered_file: Path | None = None,
        first_start: bool = False,
    ) -> None:
        super().__init__()
        self._workplace = workplace
        self._theme = theme
        self._settings = (settings or Settings()).model_copy(
            update={"theme": theme.name, "text_percent": round(text_scale * 100)}
        )
        self._settings_file = settings_file
        self._archives = archives or Archives.beside(workplace.archive.path)
        self._remembered = remembered or Remembered()
        self._remembered_file = remembered_file
        self._earlier: Path | None = None  # the archive that was left for this one
        self._was_maximized = False
        self._front = BENCH.word
        self._shown_with = self._settings  # what the bench's page was made with
        self._outdated: set[str] = set()  # places that speak the language of before
        use_language(self._settings.language)
        self._player = SoundPlayer(self._settings.volume_percent, self._settings.muted, parent=self)
        self.notice = Notice()
        self._copier = Copier(self)
        self._copier.failed.connect(self.notice.tell)
        self._names = {name.word: name for name in PLACES if name.exists}
        self._stack = QStackedWidget()
        self._covers = Covers(self._stack, self._show_front, self._show_over)
        self.rail = Rail(tuple(self._names))
        self.rail.chosen.connect(self.go_to_place)
        self.rail.settings_wanted.connect(self._settings_asked)
        self.rail.help_wanted.connect(self._help_asked)
        right = QVBoxLayout()
        right.setSpacing(0)
        right.addWidget(self.notice)
        right.addWidget(self._stack, 1)
        frame = QWidget()
        row = QHBoxLayout(frame)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.rail)
        row.addLayout(right, 1)
        self.setCentralWidget(frame)
        self.setWindowTitle(PROGRAM_NAME)
        for keys, by in (("Ctrl++", _TEXT_STEP), ("Ctrl+=", _TEXT_STEP), ("Ctrl+-", -_TEXT_STEP)):
            QShortcut(QKeySequence(keys), self).activated.connect(
                lambda by=by: self.set_text_scale((self._settings.text_percent + by) / 100)
            )
        if not self.is_demonstration:
            self._remembered.fill(form)
        self._made: dict[str, QWidget] = {}
        self._bench = self._make_bench(form)
        if first_start:
            self._bench.show_first()
        else:
            self._bench.show_setup()

    # --- what is in front ------------------------------------------------------------------------

    @property
    def setup_page(self) -> SetupPage | None:
        return self._bench.setup_page

    @property
    def bench_view(self) -> BenchView | None:
        return self._bench.bench_view

    @property
    def fitting_page(self) -> "FittingPage | None":
        return self._bench.fitting_page

    @property
    def _fitting(self) -> "FittingDesk | None":
        return self._bench.fitting

    @property
    def preferences_page(self) -> "PreferencesPage | None":
        return self._covers.settings

    @property
    def help_page(self) -> "HelpPage | None":
        return self._covers.help

    @property
    def is_demonstration(self) -> bool:
        """Whether what is measured now goes into the demonstration's archive."""
        return self._workplace.archive.path == self._archives.demonstration

    def go_to_place(self, word: str) -> None:
        """Bring a place to the front; the bench goes on behind it."""
        self._covers.uncover_all()
        if word in self._outdated and not holds_unsaved(self._made[word]):
            self._drop(word)
        place = self._made.get(word)
        if place is None:
            place = self._names[word].make(self._workplace, self._theme, self._settings)
            self._made[word] = place
            if hasattr(place, "measure_wanted"):
                place.measure_wanted.connect(self.measure)
            self._stack.addWidget(place)
        self._front = word
        self._stack.setCurrentWidget(place)
        self.rail.show_chosen(word)
        if word == BENCH.word:
            (self._bench.currentWidget() or self._bench).setFocus()
        else:
            cast(Place, place).activate()

    # --- the bench -------------------------------------------------------------------------------

    def measure(self, plan_file: Path) -> None:
        """Go to the page before the bench with that plan; not while an inspection is open."""
        self.go_to_place(BENCH.word)
        self._bench.measure(plan_file)

    def show_setup(self) -> None:
        """Show the page before the bench, with what was typed last."""
        self._bench.show_setup()

    def begin(self, form: SetupForm) -> None:
        """Begin an inspection; raises what `Workplace.begin` raises."""
        self._bench.begin(form)

    def go_on(self, inspection_id: str, form: SetupForm) -> None:
        """Go on with an inspection; raises what `Workplace.go_on` raises."""
        self._bench.go_on(inspection_id, form)

    def fit(self, inspection_id: str, person: str) -> None:
        """Go on with the fitting of a sealed inspection; raises what `Workplace.fit` raises."""
        self._bench.fit(inspection_id, person)

    # --- settings --------------------------------------------------------------------------------

    def show_preferences(self) -> None:
        """Show the settings over what is there; the bench goes on under them."""
        if self.preferences_page is not None:
            return
        self._covers.uncover_all()
        self._covers.lay_settings(self._make_preferences())

    def use_settings(self, settings: Settings) -> None:
        """Let settings hold from now on, and keep them."""
        before, self._settings = self._settings, settings
        self._theme = theme_called(settings.theme)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        if (settings.theme, settings.text_percent) != (before.theme, before.text_percent):
            apply_theme(app, self._theme, settings.text_scale)
        self._player.set_loudness(settings.volume_percent, settings.muted)
        self._bench.restyle(self._theme, settings)
        if settings.language != before.language:
            use_language(settings.language)
            self._say_anew()
        elif settings.plan_unit != before.plan_unit and not self._is_unsaved("plans"):
            self._drop("plans")  # it is made with the settings of now when it is gone to
        for place in self._other_places():
            place.restyle(self._theme, settings.text_scale)
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

    def use_archive(self, path: Path, form: SetupForm | None = None) -> str:
        """Open another archive in place of this one; return why that cannot be now, or nothing.

        The other one is open before this one is closed, and nothing in either changes. `form` is
        what the page before the bench shows then.
        """
        if path == self._workplace.archive.path:
            return ""
        trouble = self._bench.busy
        unsaved = [word for word in self._made if self._is_unsaved(word)]
        if not trouble and unsaved:
            trouble = say(
                "Something in {place} is typed and not saved; save it or give it up before the "
                "archive is changed.",
                place=say(unsaved[0]),
            )
        if trouble:
            return trouble
        try:
            archive = Archive.open(path)
        except ArchiveError as error:
            return again(str(error))
        form = form or self._bench.form()
        for word in tuple(self._made):
            self._drop(word)
        self._earlier = self._workplace.archive.path
        self._workplace.close()
        self._workplace = Workplace(archive, self._workplace.clock)
        self._bench = self._make_bench(form)
        self._bench.show_setup()
        self._front = BENCH.word
        self.rail.show_chosen(BENCH.word)
        self._covers.raise_uppermost()
        return ""

    # --- help ------------------------------------------------------------------------------------

    def show_help(self) -> None:
        """Show help on what is in front, over it."""
        if self.help_page is not None:
            return
        from seatproof.gui.help.page import HelpPage

        page = HelpPage(self._topic(), self._settings.language, self)
        page.left.connect(self._covers.uncover)
        self._covers.lay_help(page)

    def _topic(self) -> str:
        if self._covers:
            return "preferences"
        return self._bench.topic if self._front == BENCH.word else self._front

    # --- what is remembered ----------------------------------------------------------------------

    def remember(self) -> Remembered:
        """Return what the next start may begin with."""
        rect = self.normalGeometry()
        remembered = self._remembered
        if not self.is_demonstration:
            remembered = remembered.with_form(self._bench.form())
        return remembered.model_copy(
            update={
                "x": rect.x(),
                "y": rect.y(),
                "width": rect.width(),
                "height": rect.height(),
                "maximized": self._was_maximized if self.isFullScreen() else self.isMaximized(),
                "place": self._front,
            }
        )

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._remembered_file is not None:
            save_remembered(self.remember(), self._remembered_file)
        for place in self._other_places():
            place.shut()
        self._bench.close_bench()
        self._player.close()
        self._copier.stop()
        self._workplace.close()
        event.accept()

    # --- inside ----------------------------------------------------------------------------------

    def _make_bench(self, form: SetupForm) -> BenchPlace:
        self._workplace.on_sealed = self._copy_sealed
        bench = BenchPlace(
            self._workplace,
            self._archives,
            self._theme,
            self._settings,
            form,
            self._player.play,
            self,
        )
        bench.begun.connect(self._begun)
        bench.preferences_wanted.connect(self.show_preferences)
        bench.full_screen_wanted.connect(self._fill_screen)
        bench.demonstration_wanted.connect(self._demonstrate)
        bench.own_work_wanted.connect(self._own_work)
        bench.language_wanted.connect(
            lambda language: self.use_settings(
                self._settings.model_copy(update={"language": language})
            )
        )
        self._made[BENCH.word] = bench
        self._stack.addWidget(bench)
        self._stack.setCurrentWidget(bench)
        self.rail.show_chosen(BENCH.word)
        self._shown_with = self._settings
        return bench

    def _make_preferences(self) -> "PreferencesPage":
        from seatproof.gui.preferences.page import PreferencesPage

        page = PreferencesPage(self._settings, self)
        page.show_archive(self._workplace.archive.path, self._earlier, self._copier.said)
        self._copier.copied.connect(page.show_copy)
        page.chosen.connect(self.use_settings)
        page.tried.connect(self._player.play)
        page.left.connect(self._covers.uncover)
        page.archive_chosen.connect(self._archive_chosen)
        return page

    def _other_places(self) -> tuple[Place, ...]:
        """Return the places that were gone to, except the bench."""
        return tuple(cast(Place, made) for word, made in self._made.items() if word != BENCH.word)

    def _is_unsaved(self, word: str) -> bool:
        return word in self._made and word != BENCH.word and holds_unsaved(self._made[word])

    def _drop(self, word: str) -> None:
        """Take a place away; it is made anew when it is next gone to."""
        place = self._made.pop(word, None)
        self._outdated.discard(word)
        if place is None:
            return
        if isinstance(place, BenchPlace):
            place.close_bench()
        else:
            cast(Place, place).shut()
        self._stack.removeWidget(place)
        place.deleteLater()

    def _say_anew(self) -> None:
        """Make everything anew that speaks; a place with something unsaved once that is saved."""
        self.rail.say_words()
        for word in tuple(self._made):
            if word == BENCH.word:
                continue
            if self._is_unsaved(word):
                self._outdated.add(word)
            else:
                self._drop(word)
        if not self._covers:
            self._show_front()
        elif self._covers.settings is not None:
            self._covers.renew_settings(self._make_preferences())

    def _renew_bench(self) -> None:
        if self._shown_with != self._settings:
            self._shown_with = self._settings
            self._bench.renew()

    def _settings_asked(self) -> None:
        if self.preferences_page is not None:
            self._covers.uncover()
        else:
            self.show_preferences()
        self._show_over()

    def _help_asked(self) -> None:
        if self.help_page is not None:
            self._covers.uncover()
        else:
            self.show_help()
        self._show_over()

    def _show_front(self) -> QWidget:
        """Show the place in front again, made anew where what is chosen asks for it."""
        self._renew_bench()
        if self._front not in self._made:
            self.go_to_place(self._front)
        front = self._made[self._front]
        self._stack.setCurrentWidget(front)
        return self._bench.currentWidget() or front if front is self._bench else front

    def _show_over(self) -> None:
        self.rail.show_over(
            settings=self.preferences_page is not None, help_text=self.help_page is not None
        )

    def _archive_chosen(self, path: Path) -> None:
        trouble = self.use_archive(path)
        page = self.preferences_page
        if page is None:
            return
        if not trouble and path != self._archives.demonstration:
            self._archives = Archives(path, self._archives.demonstration)
            self._bench.use_archives(self._archives)
            self.use_settings(self._settings.model_copy(update={"archive_file": str(path)}))
            page.show_settings(self._settings)
        page.show_archive(self._workplace.archive.path, self._earlier, self._copier.said)
        page.show_trouble(trouble)

    def _demonstrate(self) -> None:
        from seatproof.gui.setup.demonstration import demonstration_form

        trouble = self.use_archive(self._archives.demonstration, demonstration_form())
        if trouble:
            self.notice.tell(trouble)

    def _own_work(self) -> None:
        form = SetupForm()
        self._remembered.fill(form)
        trouble = self.use_archive(self._archives.own, form)
        if trouble:
            self.notice.tell(trouble)

    def _begun(self, form: SetupForm) -> None:
        """Remember who measures, and with which gauge."""
        if not self.is_demonstration:
            self._remembered = self._remembered.with_form(form)

    def _copy_sealed(self, inspection: str) -> None:
        if self._settings.backup_folder and not self.is_demonstration:
            self._copier.copy(
                self._workplace.archive.path,
                Path(self._settings.backup_folder),
                inspection,
                self._workplace.clock().date(),
            )

    def _fill_screen(self, wanted: bool) -> None:
        if wanted:
            self._was_maximized = self.isMaximized()
            self.showFullScreen()
        elif self.isFullScreen():
            (self.showMaximized if self._was_maximized else self.showNormal)()
