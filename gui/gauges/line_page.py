"""The line of a gauge: how it is opened, what comes over it, and working out its format."""

from collections import deque
from collections.abc import Callable
from typing import Final

from pydantic import ValidationError
from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QFont, QFontDatabase
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPlainTextEdit, QVBoxLayout, QWidget

from seatproof.core import figures
from seatproof.core.equipment.item import Item, LineOfGauge
from seatproof.devices.arrival import Arrival
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format, format_names
from seatproof.devices.discovery import PortFound
from seatproof.devices.errors import DeviceError
from seatproof.devices.formats import AutoFormat, Reading
from seatproof.devices.line_state import LineState
from seatproof.devices.transport import LineSettings
from seatproof.devices.typed import TYPED_SETTINGS, TYPED_SOURCE, TypedLine
from seatproof.gui.bench.pages.base import button, card, plain_label
from seatproof.gui.gauges.listening import LineWatch, format_of, format_text, settings_of
from seatproof.gui.gauges.working_out import Step, WorkingOut
from seatproof.gui.shared.entry_form import EntryForm
from seatproof.gui.shared.entry_spec import Entry, Remark, choice
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.scrolling import scrolling

_MOST_LINES: Final = 200
_POLL_MS: Final = 60
_OWN: Final = wording("worked out, kept with this gauge")


class LinePage(QWidget):
    """Shows how a gauge is connected, and what it sends.

    Signals
    -------
    saved : LineOfGauge
        The register shall say so from now on.
    """

    saved = Signal(object)

    def __init__(self, find_ports: Callable[[], tuple[PortFound, ...]]) -> None:
        super().__init__()
        self._find_ports = find_ports
        self._ports: tuple[PortFound, ...] = ()
        self._name = "my gauge"
        self._before = LineOfGauge()
        self._values: dict[str, str] = {}
        self._format_toml = ""
        self._lines: deque[str] = deque(maxlen=_MOST_LINES)
        self.work: WorkingOut | None = None
        self._typed_line: TypedLine | None = None  # of a gauge that types, while it is worked out
        self.watch = LineWatch(self)
        self.watch.arrived.connect(self._show_arrival)
        self.watch.sampled.connect(self._show_sample)
        self.watch.changed.connect(self._show_line)
        self._poll = QTimer(self)
        self._poll.setInterval(_POLL_MS)
        self._poll.timeout.connect(self._take_turn)
        content = QWidget()
        column = QVBoxLayout(content)
        column.addWidget(self._line_card())
        column.addWidget(self._watch_card())
        column.addWidget(self._work_card())
        column.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scrolling(content))

    def show_item(self, item: Item) -> None:
        """Show a gauge's line; what was open is closed."""
        self.close_line()
        self._name, self._before = item.inventory_number, item.line
        self._format_toml = item.line.format_toml
        self._values = {
            "source": item.line.source,
            "adapter": item.line.adapter,
            "settings": item.line.settings,
            "format_name": _OWN if item.line.format_toml else item.line.format_name,
        }
        self._lines.clear()
        self.raw.clear()
        self.state.setText(say("Not open."))
        self.newest.setText("")
        self._ports = self._find_ports()
        self._show_fields()
        self._show_work()

    def line(self) -> LineOfGauge | None:
        """Return the line as typed; None where something is wrong with it."""
        own = self._values["format_name"] == _OWN
        try:
            return LineOfGauge(
                source=self._values["source"].strip(),
                adapter=self._values["adapter"].strip(),
                settings=self._values["settings"].strip(),
                format_name=self._name if own else self._values["format_name"].strip(),
                format_toml=self._format_toml if own else "",
            )
        except ValidationError:  # longer than any name
            return None

    def close_line(self) -> None:
        """End listening and working out."""
        self.watch.close()
        self._poll.stop()
        if self.work is not None:
            self.work.stop()
            self.work, self._typed_line = None, None
        self._show_typed()
        self.open.setText(say("Open the line"))
        self.ask.hide()

    # --- how it is opened ------------------------------------------------------------------------

    def _line_card(self) -> QWidget:
        frame, column = card(say("How it is connected"))
        self.fields = EntryForm("line")
        self.fields.edited.connect(self._put)
        column.addWidget(self.fields)
        self.save = button(say("Keep this line with the gauge"), "save_line", self._save)
        column.addWidget(self.save)
        return frame

    def _show_fields(self) -> None:
        sources = [port.lasting_source for port in self._ports]
        sources.append(TYPED_SOURCE)
        names = [_OWN] if self._format_toml else []
        entries = (
            choice(
                "source",
                wording("Port or address"),
                sources,
                _port_words(self._ports),
                is_open=True,
            ),
            Entry(
                "adapter",
                wording("Adapter"),
                "",
                wording("USB identity; a port chosen above carries it already."),
            ),
            Entry(
                "settings",
                wording("Speed and frame"),
                "9600 8N1",
                wording("Empty: as its format says."),
            ),
            choice("format_name", wording("Format"), (*names, *format_names()), is_open=True),
        )
        remarks = self._remarks()
        self.fields.show_form(entries, self._values, remarks)
        line = self.line()
        usable = line is not None and not remarks
        self.save.setEnabled(usable and line != self._before)
        self.open.setEnabled(usable and bool(self._values["source"].strip()))
        self.begin.setEnabled(bool(self._values["source"].strip()) and "settings" not in remarks)
        is_wire = self._values["source"].strip() != TYPED_SOURCE
        self.search.setEnabled(self.begin.isEnabled() and is_wire)

    def _remarks(self) -> dict[str, Remark]:
        remarks: dict[str, Remark] = {}
        settings = self._values["settings"].strip()
        line = self.line()
        if line is None:
            return {"source": Remark(say("Is too long; check it."))}
        form = None
        try:
            form = format_of(line)
        except DeviceError as error:
            remarks["format_name"] = Remark(again(str(error)))
        try:
            opened = settings_of(line, form)
        except ValueError as error:
            remarks["settings"] = Remark(say("Not so: {why}.", why=again(str(error))))
            return remarks
        if settings and isinstance(form, AutoFormat) and str(opened) != str(LineSettings()):
            remarks["settings"] = Remark(
                say(
                    "“{format}” is always read at {settings}; work the format out below, or "
                    "choose one by its name.",
                    format=AutoFormat.name,
                    settings=str(LineSettings()),
                )
            )
        return remarks

    def _put(self, key: str, value: object) -> None:
        self._values[key] = str(value)
        self._show_fields()

    def _save(self) -> None:
        line = self.line()
        if line is None:
            return
        form = format_of(line)
        if line.settings and isinstance(form, GaugeFormat):
            # The bench opens a line as its format says, so the settings go into the format.
            own = form.model_copy(update={"line": settings_of(line, form)})
            if own != form or line.format_toml:
                line = line.model_copy(update={"format_toml": format_text(own)})
        self.saved.emit(line)

    # --- what comes ------------------------------------------------------------------------------

    def _watch_card(self) -> QWidget:
        frame, column = card(say("What comes over it"))
        self.state = plain_label("line_state")
        self.newest = plain_label("line_newest", "far")
        self.open = button(say("Open the line"), "open_line", self._open)
        self.ask = button(say("Take a value"), "ask_line", self.watch.take)
        self.raw = QPlainTextEdit()
        self.raw.setObjectName("line_raw")
        self.raw.setAccessibleName(say("Frames, raw and as read"))
        self.raw.setReadOnly(True)
        self.raw.setTabChangesFocus(True)
        self.raw.setFont(_fixed())
        self.raw.setFixedHeight(9 * self.raw.fontMetrics().lineSpacing() + 16)
        row = QHBoxLayout()
        row.addWidget(self.open)
        row.addWidget(self.ask)
        self.typed = QLineEdit()
        self.typed.setObjectName("line_typed")
        self.typed.setAccessibleName(say("What the gauge types"))
        self.typed.setPlaceholderText(say("let the gauge type its value here"))
        self.typed.returnPressed.connect(self._type_in)
        column.addLayout(row)
        column.addWidget(self.typed)
        column.addWidget(self.state)
        column.addWidget(self.newest)
        column.addWidget(self.raw)
        return frame

    def _open(self) -> None:
        if self.watch.is_open:
            self.close_line()
            self.state.setText(say("Not open."))
            return
        line = self.line()
        if line is None:
            return
        self._stop_work()
        try:
            self.watch.open(line)
        except (DeviceError, ValueError) as error:
            self.state.setText(again(str(error)))
            return
        self.open.setText(say("Close the line"))
        self.ask.setVisible(self.watch.wants_key)
        self._show_typed()

    def _type_in(self) -> None:
        """Hand over what the gauge typed, to whoever listens."""
        text = self.typed.text()
        self.typed.clear()
        self.watch.type_in(text)
        if self._typed_line is not None:
            self._typed_line.feed(f"{text}\r")

    def _show_typed(self) -> None:
        work = self.work
        asked = self._typed_line is not None and work is not None and work.step is Step.PRESS
        self.typed.setVisible(self.watch.types or asked)
        if asked and not self.typed.hasFocus():
            self.typed.setFocus()

    def _show_line(self, state: LineState) -> None:
        self.state.setText(again(state.sentence))

    def _show_arrival(self, arrival: Arrival) -> None:
        content = arrival.content
        if isinstance(content, Reading):
            self.newest.setText(_value_words(content))
            value = again(f"{figures.received(str(content.value))} {content.unit or ''}".strip())
            read = f"{value} {content.channel or ''}".strip()
        else:
            self.newest.setText(say("not read"))
            read = f"✗ {again(content.reason)}"
        doubts = "".join(f"\n      ? {again(doubt)}" for doubt in arrival.doubts)
        when = arrival.utc.astimezone()
        self._lines.append(
            f"{when:%H:%M:%S}  {content.raw.hex(' ')}\n      {content.text}  →  {read}{doubts}"
        )
        self.raw.setPlainText("\n".join(self._lines))
        bar = self.raw.verticalScrollBar()
        bar.setValue(bar.maximum())

    def _show_sample(self, arrival: Arrival) -> None:
        content = arrival.content
        if isinstance(content, Reading):
            self.newest.setText(_value_words(content))

    # --- working out -----------------------------------------------------------------------------

    def _work_card(self) -> QWidget:
        frame, column = card(say("Work out its format from a few presses"))
        self.wish = plain_label("work_wish", "question")
        self.shown = QLineEdit()
        self.shown.setObjectName("work_shown")
        self.shown.setPlaceholderText(say("as the display shows it: -0.012 mm"))
        self.shown.setAccessibleName(say("What the display shows"))
        self.shown.returnPressed.connect(self._answer)
        self.take = button(say("That is what it shows"), "work_take", self._answer)
        self.other = button(say("I did not see it: press again"), "work_other", self._other)
        self.begin = button(
            say("Begin, at the speed above"), "work_begin", lambda: self._begin(False)
        )
        self.search = button(
            say("Begin, find the speed first"), "work_search", lambda: self._begin(True)
        )
        self.use = button(say("Use this format for the gauge"), "work_use", self._use)
        self.use.setProperty("emphasis", "strong")
        self.trouble = plain_label("work_trouble", "problem")
        self.explained = QPlainTextEdit()
        self.explained.setObjectName("work_explained")
        self.explained.setReadOnly(True)
        self.explained.setTabChangesFocus(True)
        self.explained.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.explained.setFont(_fixed())
        self.explained.setFixedHeight(12 * self.explained.fontMetrics().lineSpacing() + 16)
        answers = QHBoxLayout()
        answers.addWidget(self.shown, 1)
        answers.addWidget(self.take)
        answers.addWidget(self.other)
        begins = QHBoxLayout()
        begins.addWidget(self.begin)
        begins.addWidget(self.search)
        column.addLayout(begins)
        column.addWidget(self.wish)
        column.addLayout(answers)
        column.addWidget(self.trouble)
        column.addWidget(self.explained)
        column.addWidget(self.use)
        return frame

    def _begin(self, search: bool) -> None:
        line = self.line()
        if line is None:
            return
        self.close_line()
        form = None
        try:
            form = format_of(line)
        except DeviceError:
            form = find_format(AutoFormat.name)  # the one to be worked out takes its place
        settings = None if search else settings_of(line, form)
        if line.source == TYPED_SOURCE:
            self._typed_line = TypedLine()
            self.work = WorkingOut(TYPED_SOURCE, TYPED_SETTINGS, self._name, self._typed_line.open)
        else:
            self.work = WorkingOut(line.source, settings, self._name)
        self._poll.start()
        self._show_work()

    def _take_turn(self) -> None:
        if self.work is not None and self.work.poll():
            self._show_work()

    def _answer(self) -> None:
        if self.work is None:
            return
        self.work.shown(self.shown.text())
        if not self.work.trouble or self.work.step is not Step.SHOWN:
            self.shown.clear()
        self._show_work()

    def _other(self) -> None:
        if self.work is not None:
            self.work.not_this_one()
            self.shown.clear()
            self._show_work()

    def _use(self) -> None:
        form = self.work.form if self.work is not None else None
        if form is None:
            return
        self._format_toml = format_text(form)
        is_wire = self._typed_line is None
        settings = str(form.line or LineSettings()) if is_wire else ""
        self._values |= {"format_name": _OWN, "settings": settings}
        self._stop_work()
        self._show_fields()
        self._show_work()

    def _stop_work(self) -> None:
        if self.work is not None:
            self.work.stop()
            self.work, self._typed_line = None, None
            self._poll.stop()
        self._show_work()

    def _show_work(self) -> None:
        work = self.work
        asking = work is not None and work.step is Step.SHOWN
        for widget in (self.shown, self.take, self.other):
            widget.setVisible(asking)
        self.wish.setVisible(work is not None)
        self.wish.setText("" if work is None else again(work.wish))
        trouble = "" if work is None or work.step is Step.STOPPED else work.trouble
        self.trouble.setText(again(trouble))
        self.trouble.setVisible(bool(trouble))
        explained = "" if work is None else work.explained()
        self.explained.setVisible(bool(explained))
        self.explained.setPlainText(explained)
        self.use.setVisible(work is not None and work.form is not None)
        if work is not None and work.found is not None and work.found.questions:
            self.use.setText(say("Use it as it is: what is still open is refused when it comes"))
        else:
            self.use.setText(say("Use this format for the gauge"))
        self._show_typed()
        if asking and not self.shown.hasFocus() and self.isVisible():
            self.shown.setFocus()


def _value_words(reading: Reading) -> str:
    value = figures.received(str(reading.value))
    if reading.unit is None:
        return f"{again(value)} {say('(unit not sent)')}"
    return again(f"{value} {reading.unit}")


def _port_words(ports: tuple[PortFound, ...]) -> str:
    if not ports:
        return say(
            "No port is there now; plug the gauge in, or write an address such as socket://…"
        )
    return "; ".join(f"{port.name}: {port.description}" for port in ports[:4])


def _fixed() -> QFont:
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
    font.setFamily("DejaVu Sans Mono")
    return font
