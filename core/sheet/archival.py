"""The sheet as an archival file: PDF/A-3, level b (ISO 19005-3), from pages drawn by reportlab.

The library draws pages and subsets typefaces; the outer structure is written here, because the
standard asks for things that it leaves out: a stream ends with a line end of its own, the colours
have an output intent, metadata are there as XMP, attached files are associated with the document.
Nothing is compressed: two builds of a compressing library need not give the same bytes.
"""

import hashlib
import re
from collections.abc import Sequence
from functools import cache
from typing import Any, Final

from reportlab.pdfbase import pdfdoc
from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFName,
    PDFStream,
    PDFString,
)

from seatproof.core.files import resource
from seatproof.core.sheet.attachment import Attachment
from seatproof.core.sheet.metadata import Information, information_dictionary, pdf_date, xmp_packet

# Four bytes above 127 tell programs that move files that this one is not text (6.1.2).
_HEADER: Final = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
_END_OF_STREAM: Final = b"endstream\nendobj\n"
_INTENT: Final = "sRGB IEC61966-2.1"
_INTENT_REGISTRY: Final = "http://www.color.org"
_MAPPING: Final = re.compile(rb"<([0-9A-F]{2})> <([0-9A-F]{4})>\n")
_MOST_MAPPINGS: Final = 100  # of one section of a character map


def archival_pdf(
    document: Any,
    canvas: Any,
    information: Information,
    attachments: Sequence[Attachment],
) -> bytes:
    """Write the pages that a canvas has drawn as a file for the archive.

    Parameters
    ----------
    document : PDFDocument
        The document behind the canvas; the library's stubs leave most of it out.
    canvas : Canvas
        After its last page; it cannot be used any further.
    information : Information
    attachments : sequence of Attachment
    """
    for font in document.delayedFonts:
        font.addObjects(document)
    document.Outlines.prepare(document, canvas)
    root = _catalog(document, information, attachments)
    info = information_dictionary(information)
    root_reference, info_reference = document.Reference(root), document.Reference(info)
    body, offsets = _objects(document)
    trailer = PDFDictionary(
        {
            "Size": len(offsets) + 1,
            "Root": root_reference,
            "Info": info_reference,
            "ID": f"[<{information.identifier}> <{information.identifier}>]",
        }
    )
    table = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    return b"".join(
        (
            body,
            b"xref\n0 %d\n0000000000 65535 f \n" % (len(offsets) + 1),
            table,
            b"trailer\n",
            trailer.format(document),
            b"\nstartxref\n%d\n%%%%EOF\n" % len(body),
        )
    )


def _objects(document: Any) -> tuple[bytes, list[int]]:
    """Return the file up to its table of objects, and where each object begins."""
    parts, offsets = [_HEADER], []
    length = len(_HEADER)
    number = 1
    # Formatting one object may add others.
    while (name := document.numberToId.get(number)) is not None:
        thing = document.idToObject[name]
        if isinstance(thing, pdfdoc.PDFPage):
            thing.Trans = None  # the library gives every page a transition, and an empty one
        if name.startswith("toUnicodeCMap:"):
            thing.content = _character_map(thing.content)
        written = pdfdoc.PDFIndirectObject(name, thing).format(document)
        if written.endswith(_END_OF_STREAM):
            written = written.removesuffix(_END_OF_STREAM) + b"\n" + _END_OF_STREAM
        offsets.append(length)
        parts.append(written)
        length += len(written)
        number += 1
    return b"".join(parts), offsets


def _character_map(content: str) -> bytes:
    """Leave out codes that stand for no character, and keep sections as short as they must be."""
    written = content.encode("ascii")
    mappings = [match.group(0) for match in _MAPPING.finditer(written) if match.group(2) != b"0000"]
    sections = [
        mappings[start : start + _MOST_MAPPINGS]
        for start in range(0, len(mappings), _MOST_MAPPINGS)
    ]
    before, _, rest = written.partition(b"endcodespacerange\n")
    after = rest[rest.index(b"endbfchar\n") + len(b"endbfchar\n") :]
    middle = b"".join(
        b"%d beginbfchar\n%sendbfchar\n" % (len(section), b"".join(section)) for section in sections
    )
    return before + b"endcodespacerange\n" + middle + after


def _catalog(
    document: Any, information: Information, attachments: Sequence[Attachment]
) -> PDFDictionary:
    files = [(item, _file(document, item, information)) for item in attachments]
    entries: dict[str, Any] = {
        "Type": PDFName("Catalog"),
        "Pages": document.Reference(document.Pages),
        "Lang": PDFString(information.language),
        "ViewerPreferences": PDFDictionary({"DisplayDocTitle": "true"}),
        "Metadata": document.Reference(_metadata(information)),
        "OutputIntents": PDFArray([document.Reference(_output_intent(document))]),
    }
    if document.Outlines.ready > 0:
        entries["Outlines"] = document.Reference(document.Outlines)
    if files:
        entries["AF"] = PDFArray([reference for _, reference in files])
        by_name = sorted(files, key=lambda pair: pair[0].name)
        names = [part for item, reference in by_name for part in (PDFString(item.name), reference)]
        tree = PDFDictionary({"Names": PDFArray(names)})
        entries["Names"] = PDFDictionary({"EmbeddedFiles": tree})
    return PDFDictionary(entries)


def _metadata(information: Information) -> PDFStream:
    dictionary = PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")})
    return PDFStream(dictionary, xmp_packet(information))


def _output_intent(document: Any) -> PDFDictionary:
    profile = PDFStream(PDFDictionary({"N": 3, "Alternate": PDFName("DeviceRGB")}), _profile())
    return PDFDictionary(
        {
            "Type": PDFName("OutputIntent"),
            "S": PDFName("GTS_PDFA1"),
            "OutputConditionIdentifier": PDFString(_INTENT),
            "OutputCondition": PDFString(_INTENT),
            "Info": PDFString(_INTENT),
            "RegistryName": PDFString(_INTENT_REGISTRY),
            "DestOutputProfile": document.Reference(profile),
        }
    )


@cache
def _profile() -> bytes:
    return resource("icc", "sRGB.icc").read_bytes()


def _file(document: Any, item: Attachment, information: Information) -> Any:
    """Embed a file and return the reference to its specification (6.8)."""
    stamp = PDFString(pdf_date(information.moment))
    digest = hashlib.md5(item.data, usedforsecurity=False).hexdigest()  # what ISO 32000 asks for
    parameters = PDFDictionary(
        {
            "Size": len(item.data),
            "CreationDate": stamp,
            "ModDate": stamp,
            "CheckSum": f"<{digest}>",
        }
    )
    embedded = PDFStream(
        PDFDictionary(
            {
                "Type": PDFName("EmbeddedFile"),
                # A name of its own: the library leaves the slash in it as it is.
                "Subtype": "/" + item.media_type.replace("/", "#2F"),
                "Params": parameters,
            }
        ),
        item.data,
    )
    stream = document.Reference(embedded)
    specification = PDFDictionary(
        {
            "Type": PDFName("Filespec"),
            "F": PDFString(item.name),
            "UF": PDFString(item.name),
            "Desc": PDFString(item.description),
            "AFRelationship": PDFName(item.relationship),
            "EF": PDFDictionary({"F": stream, "UF": stream}),
        }
    )
    return document.Reference(specification)
