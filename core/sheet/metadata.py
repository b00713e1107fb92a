"""What the file says of itself: the document information, and the same again as XMP.

ISO 19005-3, 6.6.2.3 and 6.6.3: the two must agree, and XMP alone says which part and level of the
standard the file keeps to.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFString

PRODUCER: Final = "Seatproof, with ReportLab"

_PACKET_ID: Final = "W5M0MpCehiHzreSzNTczkc9d"  # the one that the XMP specification prescribes
_SCHEMAS: Final = (
    ("rdf", "http://www.w3.org/1999/02/22-rdf-syntax-ns#"),
    ("dc", "http://purl.org/dc/elements/1.1/"),
    ("pdf", "http://ns.adobe.com/pdf/1.3/"),
    ("pdfaid", "http://www.aiim.org/pdfa/ns/id/"),
    ("xmp", "http://ns.adobe.com/xap/1.0/"),
    ("xmpMM", "http://ns.adobe.com/xap/1.0/mm/"),
)


@dataclass(frozen=True, slots=True)
class Information:
    """What the file says of itself.

    `moment` knows its offset from UTC; `identifier` is 32 hexadecimal digits that no other record
    gives; `language` is a tag of BCP 47.
    """

    title: str
    author: str
    subject: str
    creator: str
    moment: datetime
    identifier: str
    language: str


def pdf_date(moment: datetime) -> str:
    """Write a moment as PDF does (ISO 32000-1, 7.9.4).

    >>> pdf_date(datetime.fromisoformat("2024-05-17T08:34:20.5+02:00"))
    "D:20240517083420+02'00'"
    """
    offset = moment.strftime("%z")
    return f"D:{moment:%Y%m%d%H%M%S}{offset[:3]}'{offset[3:5]}'"


def information_dictionary(information: Information) -> PDFDictionary:
    """Return the document information dictionary."""
    stamp = PDFString(pdf_date(information.moment))
    return PDFDictionary(
        {
            "Title": PDFString(information.title),
            "Author": PDFString(information.author),
            "Subject": PDFString(information.subject),
            "Creator": PDFString(information.creator),
            "Producer": PDFString(PRODUCER),
            "CreationDate": stamp,
            "ModDate": stamp,
        }
    )


def xmp_packet(information: Information) -> bytes:
    """Return the XMP metadata of the file."""
    moment = information.moment.isoformat(timespec="seconds")
    digits = information.identifier
    uuid = "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:32]))
    names = "".join(f" xmlns:{name}={quoteattr(uri)}" for name, uri in _SCHEMAS[1:])
    language = escape(information.language)

    def one_of_many(kind: str, text: str) -> str:
        mark = ' xml:lang="x-default"' if kind == "Alt" else ""
        return f"<rdf:{kind}><rdf:li{mark}>{escape(text)}</rdf:li></rdf:{kind}>"

    properties = (
        ("pdfaid:part", "3"),
        ("pdfaid:conformance", "B"),
        ("dc:format", "application/pdf"),
        ("dc:title", one_of_many("Alt", information.title)),
        ("dc:creator", one_of_many("Seq", information.author)),
        ("dc:description", one_of_many("Alt", information.subject)),
        ("dc:language", f"<rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag>"),
        ("xmp:CreatorTool", escape(information.creator)),
        ("xmp:CreateDate", moment),
        ("xmp:ModifyDate", moment),
        ("xmp:MetadataDate", moment),
        ("pdf:Producer", escape(PRODUCER)),
        ("xmpMM:DocumentID", f"uuid:{uuid}"),
        ("xmpMM:InstanceID", f"uuid:{uuid}"),
    )
    lines = [
        f'<?xpacket begin="\ufeff" id="{_PACKET_ID}"?>',
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">',
        f"<rdf:RDF xmlns:rdf={quoteattr(_SCHEMAS[0][1])}>",
        f'<rdf:Description rdf:about=""{names}>',
        *(f"<{name}>{value}</{name}>" for name, value in properties),
        "</rdf:Description>",
        "</rdf:RDF>",
        "</x:xmpmeta>",
        '<?xpacket end="r"?>',
    ]
    return "\n".join(lines).encode()
