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
