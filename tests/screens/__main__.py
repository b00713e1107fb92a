"""Render the window's pages and the sheet's pages to PNG files."""

import sys
from pathlib import Path

import pypdfium2

from seatproof.core.files import example
from seatproof.gui.commands.walkthrough import do_the_job
from seatproof.gui.pictures import take_pictures

_PIXELS_PER_POINT = 110 / 72


def main(folder: Path) -> int:
    """Write the pictures into a folder and say where they are."""
    folder.mkdir(parents=True, exist_ok=True)
    pictures = list(take_pictures(folder))
    for plan in ("kiln_fan", "screw_pump"):
        place = folder / plan
        place.mkdir(exist_ok=True)
        sheet = do_the_job(example(f"{plan}.toml"), place).sheet
        document = pypdfium2.PdfDocument(sheet)
        for number, page in enumerate(document, start=1):
            picture = folder / f"sheet-{plan}-page{number}.png"
            page.render(scale=_PIXELS_PER_POINT).to_pil().save(picture)
            pictures.append(picture)
        document.close()
    for picture in pictures:
        print(picture)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
