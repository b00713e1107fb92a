"""Photos at the step of the condition: attached, seen, refused, and on the sealed sheet."""

from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO

import pypdf
import pytest
from PIL import Image
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from seatproof.core.archive.file import Archive
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.sheet.document import write_sheet
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.model import BenchModel, Sealing
from seatproof.gui.bench.pages import condition_photos
from seatproof.gui.bench.photos import attach_photo, photos_of
from seatproof.gui.bench.surroundings import Surroundings
from seatproof.gui.bench.view import BenchView
from seatproof.gui.settings import Settings
from seatproof.gui.shared.theme import LIGHT

CHECK = "free of burrs"
RUST = (170, 80, 30)


@pytest.fixture
def archive(tmp_path):
    with Archive.open(tmp_path / "archive.seatproof") as opened:
        yield opened


@pytest.fixture
def model(archive, kiln_fan) -> BenchModel:
    conditions = f'conditions = ["clean and dry", "{CHECK}"]\n'
    inspection = Inspection.create(
        archive,
        plan_toml=conditions + kiln_fan,
        identification=Identification(sheet_number="S 1"),
        actor="Ann",
        clock=lambda: datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
    )
    inspection.acknowledge_cautions(("stand clear",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M 4", unit="mm", resolution="0.001", source="-", format="auto"
        )
    )
    return BenchModel(
        inspection,
        finish=lambda state: lambda: Sealing(None, None, ""),
        surroundings=Surroundings(
            photo_source=archive.attachment, keep_photo=archive.put_attachment
        ),
    )


@pytest.fixture
def photo(tmp_path):
    """A photo that lies on its side, as cameras keep them: 60 × 40 pixels, to be turned."""
    picture = Image.new("RGB", (60, 40), RUST)
    exif = Image.Exif()
    exif[0x0112] = 6
    path = tmp_path / "rust.jpg"
    picture.save(path, "JPEG", exif=exif)
    return path


@pytest.fixture
def view(qtbot: QtBot, dress, model):
    model.steps.go_to(Rung.CONDITION)
    shown = BenchView(model, dress(LIGHT, 1.0), settings=Settings(muted=True))
    qtbot.addWidget(shown)
    shown.resize(1180, 800)
    shown.show()
    yield shown
    shown.shut()


def photos(view, number=1):
    return view.steps.currentWidget()._rows[number].photos


def drop(target, *files) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(file)) for file in files])
    copy, left, none = (
        Qt.DropAction.CopyAction,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    entered = QDragEnterEvent(QPoint(5, 5), copy, data, left, none)
    QApplication.sendEvent(target, entered)
    assert entered.isAccepted()
    QApplication.sendEvent(target, QDropEvent(QPointF(5, 5), copy, data, left, none))


def test_a_photo_is_chosen_by_the_button_and_belongs_to_its_condition(
    view, model, archive, photo, qtbot, monkeypatch
) -> None:
    monkeypatch.setattr(condition_photos, "file_to_read", lambda *_: photo)
    qtbot.mouseClick(photos(view).add, Qt.MouseButton.LeftButton)
    (kept,) = photos_of(model.state, "A", CHECK)
    assert (kept.width, kept.height) == (60, 40)
    assert photos_of(model.state, "A", "clean and dry") == ()
    assert photos_of(model.state, "B", CHECK) == ()
    assert Image.open(BytesIO(archive.attachment(kept.sha256))).size == (60, 40)


def test_its_thumbnail_stands_upright_beside_the_answer(view, model, photo) -> None:
    attach_photo(model, photo, "A", CHECK)
    view.refresh()
    (label,) = photos(view).thumbnails
    picture = label.pixmap()
    assert picture.height() > picture.width() > 10
    colour = picture.toImage().pixelColor(picture.width() // 2, picture.height() // 2)
    assert (colour.red(), colour.green(), colour.blue()) == pytest.approx(RUST, abs=6)
    assert "60 × 40" in label.toolTip()
    assert photos(view, 0).thumbnails == []
    view.steps.currentWidget().seats.chosen.emit("B")
    assert photos(view).thumbnails == []


def test_files_are_dropped_on_it(view, model, photo, tmp_path) -> None:
    other = tmp_path / "burr.png"
    Image.new("RGB", (30, 30), (10, 20, 30)).save(other)
    drop(photos(view).add, photo)
    drop(view.steps.currentWidget()._rows[1].words, other)
    assert len(photos_of(model.state, "A", CHECK)) == 2
    assert len(photos(view).thumbnails) == 2


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"minutes of a meeting", "no photo"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "damaged"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "damaged"),
        (b"", "no photo"),
    ],
)
def test_what_is_no_picture_is_refused_in_a_sentence(view, model, tmp_path, content, said) -> None:
    path = tmp_path / "minutes.jpg"
    path.write_bytes(content)
    before = model.state.last.seq
    photos(view).chosen.emit(path)
    assert model.state.last.seq == before
    assert said in view.bar._trouble.text()
    assert view.bar._trouble.isVisible()


def test_a_picture_that_could_not_be_printed_is_refused_before_it_is_kept(
    model, archive, tmp_path
) -> None:
    good = BytesIO()
    Image.effect_noise((64, 64), 60).save(good, "PNG")
    content = bytearray(good.getvalue())
    middle = content.index(b"IDAT") + 40
    content[middle : middle + 400] = bytes(400)
    path = tmp_path / "broken.png"
    path.write_bytes(bytes(content))
    with pytest.raises(CommandRefusedError, match=r"broken\.png is damaged"):
        attach_photo(model, path, "A", CHECK)
    assert model.state.photos == ()


def test_a_file_that_is_not_there_is_refused(model, tmp_path) -> None:
    with pytest.raises(CommandRefusedError, match=r"gone\.jpg cannot be read"):
        attach_photo(model, tmp_path / "gone.jpg", "A", CHECK)


def test_the_same_photo_is_attached_once(model, photo) -> None:
    attach_photo(model, photo, "A", CHECK)
    with pytest.raises(CommandRefusedError, match="attached here already"):
        attach_photo(model, photo, "A", CHECK)
    attach_photo(model, photo, "B", CHECK)  # the same picture may show both


def test_it_is_on_the_sealed_sheet_and_nothing_is_added_afterwards(
    view, model, photo, tmp_path
) -> None:
    attach_photo(model, photo, "A", CHECK)
    for seat in ("A", "B"):
        for check in model.plan.conditions:
            model.steps.answer(seat, check, "met")
    while (key := model.state.cursor) is not None:
        size = model.plan.seat(key.seat_id).nominal_mm + Decimal("0.012")
        raw = f"{model.state.last.seq} {size}".encode()
        press = Press(size, None, f"{size}", raw, "auto", model.state.last.seq)
        model.act(lambda inspection, press=press: inspection.take(press))
    desk = model.seal_desk
    for gap in desk.gaps:
        desk.give_reason(gap, "agreed with the customer")
    desk.seal("Measured as recorded.")
    desk.seal("Measured as recorded.") if not model.is_sealed else None
    assert model.is_sealed, desk.remarks
    sheet = write_sheet(model.state, tmp_path / "sheet.pdf")
    reader = pypdf.PdfReader(sheet)
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert CHECK in text[text.index("Photos") :]
    pictures = [image.image for page in reader.pages for image in page.images]
    found = [picture for picture in pictures if picture.size == (40, 60)]  # upright
    assert found
    assert found[0].convert("RGB").getpixel((20, 30)) == pytest.approx(RUST, abs=8)
    view.refresh()
    assert not photos(view).add.isEnabled()
    with pytest.raises(CommandRefusedError, match="sealed"):
        attach_photo(model, photo, "B", CHECK)
