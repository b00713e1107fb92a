"""The sheet as PDF/A-3, level b: every clause of ISO 19005-3 that applies, by another library.

The numbers in the names are those of the clauses. The standard's own words are not repeated; a
comment says what is asked where the code does not.
"""

import hashlib
import re
import struct
from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from typing import Any
from xml.etree import ElementTree as ET

import pikepdf
import pytest
from PIL import ImageCms

from seatproof.core.record.file import record_bytes
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.document import build_sheet

# Operators of ISO 32000-1 that may stand in a page here; no inline images, no shading, no XObject
# of PostScript, no rendering intent.
ALLOWED = re.compile(
    r"q|Q|cm|w|J|j|M|d|m|l|c|v|y|h|re|S|s|f|F|f\*|B|B\*|b|b\*|n|W|W\*|g|G|rg|RG|Do"
    r"|BT|ET|Tc|Tw|Tz|TL|Tf|Tr|Ts|Td|TD|Tm|T\*|Tj|TJ"
)
XMP = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfaid": "http://www.aiim.org/pdfa/ns/id/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
}


@pytest.fixture(scope="module", params=["kiln_fan", "full"])
def state(request: pytest.FixtureRequest) -> InspectionState:
    found: InspectionState = request.getfixturevalue(request.param)
    return found


@pytest.fixture(scope="module")
def pdf(state: InspectionState) -> bytes:
    return build_sheet(state)


@pytest.fixture(scope="module")
def file(pdf: bytes) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(BytesIO(pdf)) as opened:
        yield opened


def streams(file: pikepdf.Pdf) -> list[pikepdf.Stream]:
    return [thing for thing in file.objects if isinstance(thing, pikepdf.Stream)]


def fonts(file: pikepdf.Pdf) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for thing in file.objects:
        if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font":
            found[str(thing.Name)] = thing
    return found


def contents(file: pikepdf.Pdf) -> Iterator[tuple[Any, Any]]:
    """Yield every content stream, parsed, with its resources."""
    for page in file.pages:
        yield pikepdf.parse_content_stream(page), page.Resources
    for stream in streams(file):
        if stream.get("/Subtype") == "/Form":
            yield pikepdf.parse_content_stream(stream), stream.Resources


# --- 6.1 the file --------------------------------------------------------------------------------


def test_6_1_2_header_is_followed_by_a_comment_of_high_bytes(pdf: bytes) -> None:
    first, second = pdf.split(b"\n", 2)[:2]
    assert re.fullmatch(rb"%PDF-1\.[0-7]", first)
    assert second.startswith(b"%")
    assert len(second) >= 5
    assert all(byte > 127 for byte in second[1:5])


def test_6_1_3_trailer_has_an_identifier_and_nothing_is_encrypted(
    pdf: bytes, file: pikepdf.Pdf, state: InspectionState
) -> None:
    first, second = file.trailer.ID
    assert bytes(first) == bytes(second) == bytes.fromhex(state.last.hash[:32])
    assert "/Encrypt" not in file.trailer
    assert pdf.endswith(b"%%EOF\n")
    assert pdf.count(b"%%EOF") == 1


def test_6_1_4_table_of_objects_finds_every_object(pdf: bytes) -> None:
    start = int(pdf[pdf.rindex(b"startxref\n") + 10 :].split(b"\n")[0])
    head, table = pdf[start:].split(b"trailer\n")[0].split(b"\n", 2)[0::2]
    assert head == b"xref"
    entries = table.splitlines(keepends=True)
    assert all(len(entry) == 20 for entry in entries)
    for number, entry in enumerate(entries[1:], start=1):
        offset = int(entry[:10])
        assert pdf[offset:].startswith(b"%d 0 obj\n" % number)
        assert pdf[:offset][-7:] in (b"endobj\n", b"\xe2\xe3\xcf\xd3\n"[-7:]) or number == 1


def test_syntax_is_sound_to_another_library(file: pikepdf.Pdf) -> None:
    assert file.check_pdf_syntax() == []


def test_6_1_7_streams_end_where_they_say(pdf: bytes, file: pikepdf.Pdf) -> None:
    assert pdf.count(b"\nendstream\nendobj\n") == len(streams(file))
    for stream in streams(file):
        number = stream.objgen[0]
        start = re.search(rb"(?:\A|\n)%d 0 obj\n" % number, pdf)
        assert start is not None
        begin = pdf.index(b"\nstream\n", start.end()) + len(b"\nstream\n")
        assert pdf[begin + int(stream.Length) :].startswith(b"\nendstream\nendobj\n")
        assert not {"/F", "/FFilter", "/FDecodeParms"} & set(stream.keys())
        assert list(stream.get("/Filter", [])) in ([], ["/DCTDecode"])


def test_6_1_8_and_13_names_strings_and_numbers_keep_to_the_limits(file: pikepdf.Pdf) -> None:
    assert len(file.objects) < 8_388_607
    for value in _leaves(list(file.objects)):
        if isinstance(value, pikepdf.Name):
            assert len(str(value).encode()) <= 127
        elif isinstance(value, pikepdf.String):
            assert len(bytes(value)) <= 32_767
        elif isinstance(value, int):
            assert -(2**31) <= value < 2**31


def _leaves(value: Any) -> Iterator[Any]:
    if isinstance(value, pikepdf.Dictionary | pikepdf.Stream):
        for key, item in value.items():
            yield pikepdf.Name(key)
            if not getattr(item, "is_indirect", False):
                yield from _leaves(item)
    elif isinstance(value, pikepdf.Array | list):
        for item in value:
            if isinstance(value, list) or not getattr(item, "is_indirect", False):
                yield from _leaves(item)
    else:
        yield value


def test_6_1_13_saved_states_are_not_nested_deeply(file: pikepdf.Pdf) -> None:
    for operations, _ in contents(file):
        depth = deepest = 0
        for operation in operations:
            depth += {"q": 1, "Q": -1}.get(str(operation.operator), 0)
            assert depth >= 0
            deepest = max(deepest, depth)
        assert depth == 0
        assert deepest <= 28


# --- 6.2 graphics --------------------------------------------------------------------------------


def test_6_2_2_pages_use_known_operators_and_name_their_resources(file: pikepdf.Pdf) -> None:
    for operations, resources in contents(file):
        for operation in operations:
            operator = str(operation.operator)
            assert ALLOWED.fullmatch(operator)
            if operator == "Tf":
                assert str(operation.operands[0]) in resources.Font
            if operator == "Do":
                assert str(operation.operands[0]) in resources.XObject


def test_6_2_3_one_output_intent_with_a_profile_for_displays(file: pikepdf.Pdf) -> None:
    (intent,) = file.Root.OutputIntents
    assert intent.S == "/GTS_PDFA1"
    assert str(intent.OutputConditionIdentifier)
    profile = intent.DestOutputProfile
    data = profile.read_bytes()
    assert profile.N == 3
    assert data[12:16] == b"mntr"
    assert data[16:20] == b"RGB "
    assert data[36:40] == b"acsp"
    assert (data[8], data[9] >> 4) <= (4, 2)
    assert struct.unpack(">I", data[:4])[0] == len(data)
    opened = ImageCms.ImageCmsProfile(BytesIO(data))
    # The primaries of IEC 61966-2-1, adapted to D50 as ICC profiles hold them.
    assert opened.profile.red_colorant[0] == pytest.approx((0.4361, 0.2225, 0.0139), abs=5e-4)
    assert opened.profile.green_colorant[0] == pytest.approx((0.3851, 0.7169, 0.0971), abs=5e-4)


def test_6_2_4_colours_are_grey_or_rgb_which_the_intent_defines(file: pikepdf.Pdf) -> None:
    used = {str(op.operator) for operations, _ in contents(file) for op in operations}
    assert not used & {"k", "K", "cs", "CS", "sc", "SC", "scn", "SCN", "sh", "ri"}
    for stream in streams(file):
        if stream.get("/Subtype") == "/Image":
            assert stream.ColorSpace in ("/DeviceRGB", "/DeviceGray")


def test_6_2_5_to_10_no_states_alternates_or_transparency(file: pikepdf.Pdf) -> None:
    barred = {"/ExtGState", "/Group", "/SMask", "/Alternates", "/OPI", "/PS", "/Ref", "/TR", "/HTP"}
    for thing in file.objects:
        if isinstance(thing, pikepdf.Dictionary | pikepdf.Stream):
            assert not barred & set(thing.keys())
            assert "/Interpolate" not in thing
            resources = thing.get("/Resources")
            if resources is not None:
                assert not barred & set(resources.keys())


def test_6_2_11_typefaces_are_embedded_subsets(file: pikepdf.Pdf) -> None:
    assert len(fonts(file)) >= 3
    for font in fonts(file).values():
        assert font.Subtype == "/TrueType"
        assert re.fullmatch(r"/[A-Z]{6}\+[\w-]+", str(font.BaseFont))
        assert font.FontDescriptor.FontName == font.BaseFont
        assert int(font.FontDescriptor.FontFile2.Length1) == len(
            font.FontDescriptor.FontFile2.read_bytes()
        )
        # A symbolic typeface brings its own single table of characters, and no encoding beside it.
        assert int(font.FontDescriptor.Flags) & 4
        assert not int(font.FontDescriptor.Flags) & 32
        assert "/Encoding" not in font
        assert len(Face(font).tables_of_characters) == 1


def test_6_2_11_5_widths_are_those_of_the_typeface(
    file: pikepdf.Pdf, used_codes: dict[str, set[int]]
) -> None:
    for name, font in fonts(file).items():
        face = Face(font)
        widths = [float(width) for width in font.Widths]
        for code in used_codes[name]:
            stated = widths[code - int(font.FirstChar)]
            assert stated == pytest.approx(face.width(code), abs=1.0)


def test_6_2_11_8_no_letter_is_without_a_glyph(
    file: pikepdf.Pdf, used_codes: dict[str, set[int]]
) -> None:
    for name, codes in used_codes.items():
        face = Face(fonts(file)[name])
        assert all(face.glyph(code) != 0 for code in codes)


def test_6_2_11_7_every_letter_has_its_unicode(
    file: pikepdf.Pdf, used_codes: dict[str, set[int]]
) -> None:
    for name, codes in used_codes.items():
        pairs = re.findall(rb"<([0-9A-F]{2})> <([0-9A-F]{4})>\n", characters(fonts(file)[name]))
        unicode = {int(code, 16): int(number, 16) for code, number in pairs}
        assert not {0, 0xFEFF, 0xFFFE} & set(unicode.values())
        assert codes <= set(unicode)
        sections = re.findall(
            rb"(\d+) beginbfchar\n(.*?)endbfchar", characters(fonts(file)[name]), re.S
        )
        assert all(0 < int(count) == body.count(b"\n") <= 100 for count, body in sections)


def characters(font: Any) -> bytes:
    return font.ToUnicode.read_bytes().partition(b"endcodespacerange\n")[2]  # type: ignore[no-any-return]


@pytest.fixture(scope="module")
def used_codes(file: pikepdf.Pdf) -> dict[str, set[int]]:
    """Return the character codes shown in each typeface, by its name in the file."""
    found: dict[str, set[int]] = {}
    for operations, _ in contents(file):
        name = ""
        stack: list[str] = []
        for operation in operations:
            match str(operation.operator):
                case "Tf":
                    name = str(operation.operands[0])
                case "q":
                    stack.append(name)
                case "Q":
                    name = stack.pop()
                case "Tj":
                    found.setdefault(name, set()).update(bytes(operation.operands[0]))
                case "TJ":
                    for part in operation.operands[0]:
                        if isinstance(part, pikepdf.String):
                            found.setdefault(name, set()).update(bytes(part))
    return found


class Face:
    """A TrueType file, as far as it maps codes to glyphs and gives their widths."""

    def __init__(self, font: Any) -> None:
        self.data = font.FontDescriptor.FontFile2.read_bytes()
        (count,) = struct.unpack(">H", self.data[4:6])
        self.tables = {}
        for index in range(count):
            tag, _, offset, length = struct.unpack(">4sIII", self.data[12 + 16 * index :][:16])
            self.tables[tag] = self.data[offset : offset + length]
        (self.units,) = struct.unpack(">H", self.tables[b"head"][18:20])
        (self.metrics,) = struct.unpack(">H", self.tables[b"hhea"][34:36])

    @property
    def tables_of_characters(self) -> list[tuple[int, int, int]]:
        table = self.tables[b"cmap"]
        (count,) = struct.unpack(">H", table[2:4])
        return [struct.unpack(">HHI", table[4 + 8 * index :][:8]) for index in range(count)]

    def glyph(self, code: int) -> int:
        ((_, _, offset),) = self.tables_of_characters
        table = self.tables[b"cmap"][offset:]
        kind, _, _, first, count = struct.unpack(">5H", table[:10])
        assert kind == 6
        if not first <= code < first + count:
            return 0
        return int(struct.unpack(">H", table[10 + 2 * (code - first) :][:2])[0])

    def width(self, code: int) -> float:
        glyph = min(self.glyph(code), self.metrics - 1)
        (advance,) = struct.unpack(">H", self.tables[b"hmtx"][4 * glyph :][:2])
        return float(advance) * 1000.0 / self.units


# --- 6.3 to 6.5, 6.9 to 6.11: nothing that acts or hides ------------------------------------------


def test_no_annotations_forms_actions_scripts_or_layers(file: pikepdf.Pdf) -> None:
    barred = {"/Annots", "/AcroForm", "/A", "/AA", "/OpenAction", "/JS", "/JavaScript", "/XFA"}
    barred |= {"/OCProperties", "/OC", "/AlternatePresentations", "/PresSteps", "/Requirements"}
    barred |= {"/Perms", "/Trans"}
    for thing in file.objects:
        if isinstance(thing, pikepdf.Dictionary | pikepdf.Stream):
            assert not barred & set(thing.keys())
    assert set(file.Root.Names.keys()) == {"/EmbeddedFiles"}


# --- 6.6 metadata --------------------------------------------------------------------------------


def test_6_6_metadata_claim_the_standard_and_agree_with_the_information(
    pdf: bytes, file: pikepdf.Pdf
) -> None:
    stream = file.Root.Metadata
    assert stream.Type == "/Metadata"
    assert stream.Subtype == "/XML"
    assert "/Filter" not in stream
    data = stream.read_bytes()
    assert data in pdf  # plain, so that any program finds it
    packet = data.decode("utf-8")
    assert "bytes=" not in packet.split("?>")[0]
    assert "encoding=" not in packet.split("?>")[0]
    root = ET.fromstring(packet)

    def text(path: str) -> str:
        return root.findtext(f".//{path}", "?", XMP)

    def item(path: str) -> str:
        return root.findtext(f".//{path}//rdf:li", "?", XMP)

    assert (text("pdfaid:part"), text("pdfaid:conformance")) == ("3", "B")
    info = file.docinfo
    assert item("dc:title") == str(info.Title)
    assert item("dc:creator") == str(info.Author)
    assert item("dc:description") == str(info.Subject)
    assert text("xmp:CreatorTool") == str(info.Creator)
    assert text("pdf:Producer") == str(info.Producer)
    for name, key in (("xmp:CreateDate", "/CreationDate"), ("xmp:ModifyDate", "/ModDate")):
        written = re.fullmatch(r"D:(\d{14})([+-]\d\d)'(\d\d)'", str(info[key]))
        assert written is not None
        moment = datetime.strptime("".join(written.groups()), "%Y%m%d%H%M%S%z")
        assert datetime.fromisoformat(text(name)) == moment
    # Only properties of schemas that the standard knows, so that none needs describing.
    spaces = {tag.partition("}")[0][1:] for tag in (element.tag for element in root.iter())}
    assert spaces <= {*XMP.values(), "adobe:ns:meta/"}


def test_title_and_language_are_set(file: pikepdf.Pdf) -> None:
    assert str(file.Root.Lang) == "en"
    assert file.Root.ViewerPreferences.DisplayDocTitle is True
    assert "KF-2024-017" in str(file.docinfo.Title)


# --- 6.8 attached files --------------------------------------------------------------------------


def test_6_8_attached_files_are_associated_and_described(
    file: pikepdf.Pdf, state: InspectionState
) -> None:
    expected = {
        "record.json": ("/Source", "/application/json"),
        "readings.csv": ("/Data", "/text/csv"),
    }
    assert [str(item.UF) for item in file.Root.AF] == list(expected)
    names = [str(name) for name in file.Root.Names.EmbeddedFiles.Names[0::2]]
    assert names == sorted(expected)
    for specification in file.Root.AF:
        name = str(specification.UF)
        relationship, media_type = expected[name]
        assert specification.Type == "/Filespec"
        assert str(specification.F) == name
        assert specification.AFRelationship == relationship
        assert str(specification.Desc)
        assert specification.EF.F.objgen == specification.EF.UF.objgen
        stream = specification.EF.F
        data = stream.read_bytes()
        assert stream.Subtype == media_type
        assert int(stream.Params.Size) == len(data)
        assert str(stream.Params.ModDate) == str(file.docinfo.ModDate)
        assert bytes(stream.Params.CheckSum) == hashlib.md5(data).digest()
    assert file.Root.AF[0].EF.F.read_bytes() == record_bytes(state.events)


# --- bookmarks -----------------------------------------------------------------------------------


def test_bookmarks_lead_to_the_parts_of_the_sheet(file: pikepdf.Pdf) -> None:
    with file.open_outline() as outline:
        titles = [entry.title for entry in outline.root]
    assert titles[0] == "Shaft"
    assert sum(title.startswith("Seat ") for title in titles) == 2
    assert titles[-1] == "Record"
