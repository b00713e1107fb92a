"""The review: what waits for a decision, oldest first, and one inspection opened and decided."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Entry, Query
from seatproof.core.comparison.trend import Trend
from seatproof.core.people.errors import PeopleError
from seatproof.core.people.register import PeopleRegister
from seatproof.core.people.signer import Signer
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.sheet.document import build_sheet
from seatproof.core.wording.errors import SheetError
from seatproof.gui.bench.background import Background
from seatproof.gui.review.deciding import (
    Choice,
    Draft,
    answer_question,
    ask_inspector,
    decide,
    obstacle,
)
from seatproof.gui.review.opened import Opened, earlier, open_for_review
from seatproof.gui.review.opened_page import OpenedPage
from seatproof.gui.review.waiting import faults_of, waiting
from seatproof.gui.settings import Settings
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.entry_cards import CardList, EntryModel, Line
from seatproof.gui.shared.pages import PagesError, pages_of
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme
from seatproof.gui.workplace import Workplace, local_now

_WORLD = (ArchiveError, RecordError, PlanError, PeopleError)


class ReviewPlace(QWidget):
    """The quality lead's place; see `seatproof.gui.places.Place`."""

    def __init__(self, workplace: Workplace, theme: Theme, settings: Settings) -> None:
        super().__init__()
        del settings
        self._workplace = workplace
        self._background = Background(self)
        self._answered = 0
        self.model = EntryModel(self._details, self)
        self.list = CardList(theme, self.model)
        self.list.setAccessibleName(say("Inspections that wait for a decision, oldest first"))
        self.heading, self.trouble = QLabel(), QLabel()
        self.heading.setProperty("role", "heading")
        self.trouble.setProperty("role", "problem")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        self.open_button = ActionButton(say("Open (Return)"))
        self.open_button.setObjectName("review_open")
        self.page = OpenedPage(
            theme,
            lambda: PeopleRegister.open(workplace.archive, local_now),
            self._trend,
            workplace.archive.path.parent / "pictures",
        )
        self._pages = QStackedWidget()
        self._lay_out()
        self.list.activated.connect(lambda _: self.open_current())
        self.open_button.clicked.connect(self.open_current)
        self.page.left.connect(self._back)
        self.page.next_wanted.connect(self.open_next)
        self.page.sheet_wanted.connect(self._draw_sheet)
        self.page.decision.decided.connect(self._decide)
        self.page.decision.asked.connect(self._ask)
        self.page.decision.answered.connect(self._answer)

    # --- what the window asks --------------------------------------------------------------------

    def activate(self) -> None:
        """Read what waits; the list follows as soon as it is there."""
        if self._pages.currentIndex() == 0:
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)
        self._read_waiting()

    def restyle(self, theme: Theme, scale: float) -> None:
        del scale
        for widget in self.findChildren(QWidget):
            restyled = getattr(widget, "set_theme", None)
            if restyled is not None:
                restyled(theme)

    def shut(self) -> None:
        self._background.stop()

    def has_unsaved(self) -> bool:
        """Tell whether somebody is writing a decision or a question."""
        opened = self._pages.currentIndex() != 0
        return opened and bool(self.page.decision.reason.toPlainText().strip())

    def holds_keys(self) -> bool:
        focused = QApplication.focusWidget()
        return isinstance(focused, (QLineEdit, QPlainTextEdit, QComboBox)) and self.isAncestorOf(
            focused
        )

    # --- what a person does ----------------------------------------------------------------------

    def open_current(self) -> None:
        """Open the inspection that the list is on."""
        entry = self.list.current_entry()
        if entry is not None:
            self.open_entry(entry)

    def open_entry(self, entry: Entry) -> None:
        """Open an inspection for review; what is wrong with it is said where troubles are said."""
        try:
            opened = open_for_review(self._workplace.archive, entry)
        except _WORLD as error:
            why = again(str(error))
            self._say(say("{sheet} cannot be reviewed: {why}", sheet=entry.sheet_number, why=why))
            return
        self._say("")
        self._show_opened(opened)
        self._pages.setCurrentWidget(self.page)
        self.page.focus_first()

    def open_next(self) -> None:
        """Open the one that waits after the one that is open; the first where none does."""
        opened = self.page.opened
        entries = self.model.entries
        here = None if opened is None else opened.entry
        after = [entry for entry in entries if here is None or entry.number > here.number]
        others = [entry for entry in entries if here is None or entry.number != here.number]
        if after or others:
            self.open_entry((after or others)[0])
        else:
            self._back()

    # --- inside ----------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.open_button)
        first = QWidget()
        column = QVBoxLayout(first)
        column.addWidget(self.heading)
        column.addWidget(self.list, 1)
        column.addLayout(foot)
        self._pages.addWidget(first)
        self._pages.addWidget(self.page)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 6)
        layout.addWidget(self.trouble)
        layout.addWidget(self._pages, 1)
        QShortcut(
            QKeySequence("Return"),
            self.list,
            context=Qt.ShortcutContext.WidgetShortcut,
        ).activated.connect(self.open_current)
        self.heading.setText(say("Reading what waits …"))

    def _read_waiting(self) -> None:
        path = self._workplace.archive.path

        def job() -> tuple[tuple[Entry, ...], str]:
            try:
                with Archive.read(path) as archive:
                    return waiting(archive), ""
            except ArchiveError as error:
                return (), str(error)

        self._background(job, lambda answer: self._show_waiting(*answer))

    def _show_waiting(self, entries: Sequence[Entry], trouble: str) -> None:
        self._say(trouble)
        chosen = self.list.current_entry()
        self.model.show_entries(entries)
        self.heading.setText(
            {
                0: say("No inspection waits for a decision."),
                1: say("One inspection waits."),
            }.get(
                len(entries),
                say("{count} inspections wait, oldest first.", count=f"{len(entries)}"),
            )
        )
        self.open_button.setEnabled(bool(entries))
        places = {entry.inspection: row for row, entry in enumerate(entries)}
        row = 0 if chosen is None else places.get(chosen.inspection, 0)
        if entries:
            self.list.setCurrentIndex(self.model.index(row))

    def _details(self, entry: Entry) -> tuple[Line, ...]:
        """Say what is wrong with an inspection whose card comes into view."""
        try:
            faults = faults_of(self._workplace.archive.events(entry.inspection))
        except ArchiveError as error:
            return ((again(str(error)), None),)
        return tuple((fault.sentence, fault.verdict) for fault in faults)

    def _trend(self, opened: Opened, seat_id: str) -> Trend | None:
        try:
            return earlier(self._workplace.archive, opened, seat_id)
        except ArchiveError as error:
            self._say(str(error))
            return None

    def _show_opened(self, opened: Opened) -> None:
        self.page.show_opened(opened)
        state = opened.state
        self.page.decision.show_inspection(
            state.identification.sheet_number,
            lambda choice: obstacle(state, choice),
            self._closed(state),
            decided_words(state),
            next((entry.seq for entry in state.open_questions()), None),
        )

    def _draw_sheet(self, opened: Opened) -> None:
        """Draw a sheet in the thread beside the window, and show it if it still is what is open."""

        def job() -> tuple[tuple[QImage, ...], str]:
            try:
                return pages_of(build_sheet(opened.state)).pictures, ""
            except (SheetError, PagesError) as error:
                return (), str(error)

        def then(found: tuple[tuple[QImage, ...], str]) -> None:
            if self.page.opened is opened:
                self.page.sheet.show_pages(*found)

        self._background(job, then)

    def _closed(self, state: InspectionState) -> str:
        """Say why nothing can be decided here at all."""
        return self._workplace.archive.read_only or obstacle(state, Choice.MEASURE_AGAIN)

    def _decide(self, draft: Draft, signer: Signer) -> None:
        self._record(
            lambda archive, inspection: decide(archive, inspection, draft, signer, local_now)
        )

    def _ask(self, text: str, signer: Signer) -> None:
        self._record(
            lambda archive, inspection: ask_inspector(
                archive, inspection, text, signer.name, local_now
            )
        )

    def _answer(self, of: int, text: str, signer: Signer) -> None:
        self._record(
            lambda archive, inspection: answer_question(
                archive, inspection, of, text, signer.name, local_now
            )
        )

    def _record(self, log: Callable[[Archive, str], object]) -> None:
        """Log something on what is open; say it where it was refused, else show it anew."""
        opened = self.page.opened
        if opened is None:
            return
        try:
            log(self._workplace.archive, opened.entry.inspection)
        except _WORLD as error:
            self.page.decision.say(again(str(error)))
            return
        self._reopen(opened)

    def _reopen(self, before: Opened) -> None:
        """Show an inspection anew as it is stored now, and read what still waits."""
        entry = entry_of(self._workplace.archive, before.entry)
        try:
            self._show_opened(open_for_review(self._workplace.archive, entry))
        except _WORLD as error:
            self._say(str(error))
        self._read_waiting()

    def _back(self) -> None:
        self._pages.setCurrentIndex(0)
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _say(self, sentence: str) -> None:
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))


def decided_words(state: InspectionState) -> str:
    """Say what was decided of an inspection, by whom, and what was asked; "" for nothing."""
    lines = []
    review, disposition = state.review, state.disposition
    if review is not None:
        said = say(
            "The measurement is {finding} by {name}, {signed}",
            finding=again(review.payload.finding),
            name=review.actor,
            signed=_signed(state, review.seq),
        )
        lines.append(f"{said}: {review.payload.note}" if review.payload.note else said)
    if disposition is not None:
        gaps = {
            "decision": again(disposition.payload.decision),
            "name": disposition.actor,
            "signed": _signed(state, disposition.seq),
        }
        authority = disposition.payload.authority
        said = (
            say(
                "Decided: {decision} on the authority of {authority} by {name}, {signed}",
                authority=authority,
                **gaps,
            )
            if authority
            else say("Decided: {decision} by {name}, {signed}", **gaps)
        )
        lines.append(f"{said}: {disposition.payload.reason}")
    answers = {entry.payload.of: entry for entry in state.answers}
    for question in state.questions:
        answer = answers.get(question.seq)
        said = (
            say("not answered yet") if answer is None else f"{answer.actor}: {answer.payload.text}"
        )
        lines.append(
            say(
                "{name} asked: {question} – {answer}",
                name=question.actor,
                question=question.payload.text,
                answer=said,
            )
        )
    return "\n".join(lines)


def _signed(state: InspectionState, seq: int) -> str:
    return say("signed") if state.signatures_of(seq) else say("not signed")


def entry_of(archive: Archive, entry: Entry) -> Entry:
    """Return an inspection's entry as it stands now."""
    found = archive.find(Query(sheet_number=entry.sheet_number)) if entry.sheet_number else None
    entries = () if found is None else found.entries
    return next((one for one in entries if one.inspection == entry.inspection), entry)
