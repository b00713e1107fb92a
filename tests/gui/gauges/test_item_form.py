"""A piece of equipment as typed: units, what is wrong where, and that nothing gets lost."""

import pytest

from seatproof.core.equipment.item import Certificate, Item, ItemKind, LineOfGauge
from seatproof.core.record.kinds.equipment import CalibrationPoint
from seatproof.gui.gauges.entries import CERTIFICATE, CURVE, NOTE, item_entries
from seatproof.gui.gauges.item_form import ItemForm
from seatproof.gui.shared.entry_spec import Tone
from seatproof.gui.shared.saying import use_language

FULL = Item(
    kind=ItemKind.MICROMETER,
    inventory_number="M-07",
    description="outside micrometer",
    serial_number="12",
    unit="in",
    resolution="0.0001",
    range_from_mm="76.2",
    range_to_mm="101.6",
    permissible_error_mm="0.00254",
    evidence="certificate",
    repeatability_mm="0.000508",
    repeats=10,
    certificate=Certificate(
        number="K-1",
        laboratory="measuring room",
        calibrated="2026-01-02",
        due="2027-01-02",
        error_curve=(
            CalibrationPoint(size_mm="76.2", error_mm="-0.00127", expanded_mm="0.000762"),
        ),
        sha256="ab" * 32,
    ),
    warning_days=20,
    line=LineOfGauge(source="COM3", settings="4800 7E2", format_name="auto"),
    note="kept in the cabinet",
)


def test_what_is_only_looked_at_stays_as_it_is():
    form = ItemForm(FULL)
    form.put("note", "x")
    form.put("note", "kept in the cabinet")
    assert form.item == FULL
    assert not form.is_changed


def test_lengths_are_in_the_unit_of_the_gauge():
    form = ItemForm(FULL)
    assert form.values()["range_to_mm"] == "4"
    assert form.values()["permissible_error_mm"] == "0.0001"
    assert form.curve[0]["error_mm"] == "-0.00005"
    form.put("range_to_mm", "5")
    assert form.item.range_to_mm == "127"


WRONG = {
    "range_to_mm": ("4 in", "Write a number in in"),
    "certificate.due": ("2.1.2027", "Write the date as year-month-day"),
    "certificate.calibrated": ("2027-02-30", "Write the date as year-month-day"),
    "warning_days": ("soon", "whole number"),
    "resolution": ("fine", "decimal point"),
    "resolution ": ("0", "not above zero"),
    "repeats": ("-1", "whole number"),
}


@pytest.mark.parametrize(("key", "case"), WRONG.items())
def test_what_is_wrong_is_told_at_its_field(key, case):
    form = ItemForm(FULL)
    key = key.strip()
    form.put(key, case[0])
    assert form.item is None
    assert case[1] in form.remarks[key].sentence
    assert form.remarks[key].tone is Tone.WRONG


def test_all_that_is_wrong_is_told_at_once():
    form = ItemForm(FULL)
    form.put("range_to_mm", "x")
    form.put("certificate.due", "x")
    assert {"range_to_mm", "certificate.due"} <= form.remarks.keys()


WHOLE = {
    ItemKind.MICROMETER: "resolution",
    ItemKind.INDICATOR: "resolution",
    ItemKind.STANDARD: "actual_mm",
    ItemKind.VEE_BLOCK: "vee_angle_deg",
}


@pytest.mark.parametrize(("kind", "key"), WHOLE.items())
def test_what_a_kind_needs_is_asked_for(kind, key):
    form = ItemForm(None, kind)
    assert form.remarks["inventory_number"].tone is Tone.MISSING
    form.put("inventory_number", "X-1")
    assert form.remarks[key].tone is Tone.MISSING


def test_a_curve_is_filled_in_row_by_row():
    form = ItemForm(FULL)
    form.add_to_curve()
    assert form.item is None
    assert form.curve_remarks[1].tone is Tone.MISSING
    for key, text in (("size_mm", "4"), ("error_mm", "0.00002"), ("expanded_mm", "0.00003")):
        form.put_in_curve(1, key, text)
    assert form.item.certificate.error_curve[1].size_mm == "101.6"
    form.remove_from_curve(1)
    assert form.item == FULL


def test_every_field_of_an_item_can_be_filled_in():
    shown = {entry.key for kind in ItemKind for entry in item_entries(kind)}
    shown |= {entry.key for entry in CERTIFICATE} | {NOTE.key}
    own = set(Item.model_fields) - {"certificate", "line"}
    papers = {f"certificate.{name}" for name in Certificate.model_fields}
    # The file is attached, the curve has rows of its own, and the line a page.
    assert own | papers - {"certificate.sha256", "certificate.error_curve"} == shown
    assert {entry.key for entry in CURVE} == set(CalibrationPoint.model_fields)


def test_numbers_are_typed_with_a_comma_where_people_write_one():
    use_language("de")
    form = ItemForm(FULL)
    assert form.values()["resolution"] == "0,0001"
    assert form.curve[0]["error_mm"] == "-0,00005"
    assert form.item == FULL
    form.put("resolution", "0,0002")
    form.put("range_to_mm", "4,5")
    form.put_in_curve(0, "expanded_mm", "0,00004")
    assert form.item.resolution == "0.0002"
    assert form.item.range_to_mm == "114.3"
    assert form.item.certificate.error_curve[0].expanded_mm == "0.001016"
    form.put("range_to_mm", "4 in")
    assert form.remarks["range_to_mm"].sentence == (
        "Eine Zahl in in mit Dezimalkomma schreiben, etwa 4,1250."
    )
