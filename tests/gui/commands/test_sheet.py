"""``seatproof sheet``, from a record file and from an archive."""

import json

import pytest

from seatproof.gui.commands.walkthrough import do_the_job
from seatproof.gui.main import main


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    from seatproof.core.files import example

    return do_the_job(example("screw_pump.toml"), tmp_path_factory.mktemp("job"))


def test_record_and_archive_give_the_sheet_again_byte_for_byte(done, tmp_path):
    number = done.content.sheet_number
    for words in ([str(done.record)], [str(done.archive), "--number", number]):
        output = tmp_path / f"{len(words)}.pdf"
        assert main(["sheet", *words, "-o", str(output)]) == 0
        assert output.read_bytes() == done.sheet.read_bytes()


def test_archive_without_a_number_names_what_there_is(done, tmp_path, capsys):
    assert main(["sheet", str(done.archive), "-o", str(tmp_path / "x.pdf")]) == 2
    assert done.content.sheet_number in capsys.readouterr().err
    assert not (tmp_path / "x.pdf").exists()


@pytest.mark.parametrize(
    ("content", "word"),
    [(b"no json", "not JSON"), (b"{}", "not a Seatproof record"), (b"", "not JSON")],
)
def test_what_is_no_record_gives_one_sentence(tmp_path, capsys, content, word):
    path = tmp_path / "record.json"
    path.write_bytes(content)
    assert main(["sheet", str(path), "-o", str(tmp_path / "x.pdf")]) == 2
    error = capsys.readouterr().err
    assert word in error
    assert error.count("\n") == 1


def test_altered_record_is_refused(done, tmp_path, capsys):
    document = json.loads(done.record.read_bytes())
    document["events"][5]["actor"] = "somebody else"
    path = tmp_path / "record.json"
    path.write_text(json.dumps(document, separators=(",", ":"), sort_keys=True, ensure_ascii=False))
    assert main(["sheet", str(path), "-o", str(tmp_path / "x.pdf")]) == 2
    assert "altered" in capsys.readouterr().err


def test_a_second_job_in_the_same_folder_keeps_the_first(done):
    from seatproof.core.files import example

    before = done.record.read_bytes(), done.sheet.read_bytes()
    again = do_the_job(example("screw_pump.toml"), done.record.parent)
    assert again.record != done.record
    assert again.sheet != done.sheet
    assert (done.record.read_bytes(), done.sheet.read_bytes()) == before


def test_readings_and_results_are_written_beside_the_sheet(done, tmp_path, capsys):
    table, results = tmp_path / "readings.csv", tmp_path / "results.json"
    words = ["sheet", str(done.record), "--csv", str(table), "--json", str(results)]
    assert main(words) == 0
    assert str(table) in capsys.readouterr().out
    lines = table.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("sheet number,inspection,event,")
    document = json.loads(results.read_bytes())
    assert document["identification"]["sheet_number"] == done.content.sheet_number
    assert len(document["readings"]) == len(lines) - 1


def test_csv_for_spreadsheets_has_their_decimal_comma(done, tmp_path):
    table = tmp_path / "readings.csv"
    assert main(["sheet", str(done.record), "--csv", str(table), "--spreadsheet"]) == 0
    first = table.read_text(encoding="utf-8-sig").splitlines()[1].split(";")
    assert "," in first[10]
    assert "." not in first[10]


def test_nothing_to_write_is_said(done, capsys):
    assert main(["sheet", str(done.record)]) == 2
    assert "Say what to write" in capsys.readouterr().err


def test_file_in_a_missing_folder_is_named(done, tmp_path, capsys):
    assert main(["sheet", str(done.record), "--csv", str(tmp_path / "no" / "x.csv")]) == 2
    assert "no such folder" in capsys.readouterr().err


def test_results_of_an_open_inspection_are_refused(done, tmp_path, capsys):
    document = json.loads(done.record.read_bytes())
    document["events"] = document["events"][:-1]
    path = tmp_path / "open.json"
    text = json.dumps(document, separators=(",", ":"), sort_keys=True, ensure_ascii=False)
    path.write_text(text, encoding="utf-8")
    assert main(["sheet", str(path), "--json", str(tmp_path / "x.json")]) == 2
    assert "is not sealed yet" in capsys.readouterr().err
    # Its sheet is a draft.
    assert main(["sheet", str(path), "-o", str(tmp_path / "draft.pdf")]) == 0


def test_sheet_is_signed_for_outsiders(done, tmp_path, capsys):
    from seatproof.core.sheet.signature import check_signatures

    words = tmp_path / "words"
    words.write_text("secret\n")
    certificate = tmp_path / "office.p12"
    certificate.write_bytes(_certificate(b"secret"))
    output = tmp_path / "signed.pdf"
    command = ["sheet", str(done.record), "-o", str(output), "--sign", str(certificate)]
    assert main([*command, "--passphrase-file", str(words)]) == 0
    assert output.read_bytes().startswith(done.sheet.read_bytes())
    assert [found.intact for found in check_signatures(output.read_bytes())] == [True]
    words.write_text("another\n")
    assert main([*command, "--passphrase-file", str(words)]) == 2
    assert "passphrase is another one" in capsys.readouterr().err
    assert main([*command[:-1], str(tmp_path / "none.p12")]) == 2
    assert "cannot be read" in capsys.readouterr().err


def _certificate(passphrase):
    from datetime import UTC, datetime

    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import pkcs12

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Office")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(datetime(2024, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(2044, 1, 1, tzinfo=UTC))
        .add_extension(
            x509.KeyUsage(True, True, False, False, False, False, False, False, False), True
        )
        .sign(key, hashes.SHA256())
    )
    return pkcs12.serialize_key_and_certificates(
        b"office", key, made, None, serialization.BestAvailableEncryption(passphrase)
    )
