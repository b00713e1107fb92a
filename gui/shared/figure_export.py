"""A figure as a picture for other programs: SVG, PNG, and on the clipboard.

A picture says what stands on the screen, in the language of the window.
"""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize
from PySide6.QtGui import QFont, QGuiApplication, QImage, QImageWriter, QPainter
from PySide6.QtSvg import QSvgGenerator

from seatproof.gui.shared.figure import Extent, Figure, paint_figure
from seatproof.gui.shared.theme import BASE_POINT_SIZE, FAMILY, LIGHT

SIZE: Final = QSize(960, 720)
_FINER: Final = 2  # pixels of a PNG for one of the screen: it is printed, too


def svg_of(figure: Figure, shown: Extent | None = None, size: QSize = SIZE) -> bytes:
    """Draw a figure, or the part of it that is shown, as SVG; on white, for paper."""
    kept = QByteArray()
    buffer = QBuffer(kept)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(size)
    generator.setViewBox(QRectF(0, 0, size.width(), size.height()))
    generator.setTitle(figure.title)
    painter = QPainter(generator)
    _paint(painter, figure, size, shown)
    painter.end()
    buffer.close()
    return bytes(kept.data())


def png_of(figure: Figure, shown: Extent | None = None, size: QSize = SIZE) -> bytes:
    """Draw a figure, or the part of it that is shown, as PNG; on white, for paper."""
    kept = QByteArray()
    buffer = QBuffer(kept)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(_image(figure, shown, size))
    buffer.close()
    return bytes(kept.data())


def copy_figure(figure: Figure, shown: Extent | None = None) -> None:
    """Put a figure on the clipboard, as a picture.

    Not as SVG beside it: what a clipboard holds outlives Python, and an object of several forms,
    made in Python, would be taken down after its end, which Qt does not survive.
    """
    QGuiApplication.clipboard().setImage(_image(figure, shown, SIZE))


def save_figure(
    figure: Figure, folder: Path, name: str, shown: Extent | None = None
) -> tuple[Path, Path]:
    """Write a figure as SVG and PNG, beside each other, under a name that is free yet.

    Raises
    ------
    OSError
        The folder or a file cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    stem, number = name, 1
    while any((folder / f"{stem}.{kind}").exists() for kind in ("svg", "png")):
        number += 1
        stem = f"{name} {number}"
    svg, png = folder / f"{stem}.svg", folder / f"{stem}.png"
    svg.write_bytes(svg_of(figure, shown))
    png.write_bytes(png_of(figure, shown))
    return svg, png


def _image(figure: Figure, shown: Extent | None, size: QSize) -> QImage:
    image = QImage(size * _FINER, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(_FINER)
    painter = QPainter(image)
    _paint(painter, figure, size, shown)
    painter.end()
    return image


def _paint(painter: QPainter, figure: Figure, size: QSize, shown: Extent | None) -> None:
    font = QFont(FAMILY)
    font.setPixelSize(round(BASE_POINT_SIZE * 96 / 72))
    paint_figure(painter, figure, QRectF(0, 0, size.width(), size.height()), font, LIGHT, shown)
