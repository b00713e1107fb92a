import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.devices.framing import MAX_FRAME_BYTES, Frame, FrameFault, LineFramer

SAMPLES = json.loads((Path(__file__).parent / "data" / "samples.json").read_text("utf-8"))
STREAMS = [bytes.fromhex(s["hex"]) for s in SAMPLES if s["encoding"] == "bytes"]

# Line ends and the bytes around them are what a framer can get wrong; draw them often.
line_bytes = st.lists(
    st.one_of(st.sampled_from([b"\r", b"\n", b"\r\n", b"\r\x12", b"1.5"]), st.binary(max_size=4))
).map(b"".join)


def frames_of(*chunks: bytes, trust_first: bool = True, max_frame_bytes: int = 256) -> list[Frame]:
    framer = LineFramer(trust_first=trust_first, max_frame_bytes=max_frame_bytes)
    return [frame for chunk in chunks for frame in framer.feed(chunk)] + framer.flush()


@pytest.mark.parametrize(
    ("stream", "expected"),
    [
        (b"01A+00024.35\r", [(b"01A+00024.35", b"01A+00024.35\r")]),
        (b"01A+00024.35\n", [(b"01A+00024.35", b"01A+00024.35\n")]),
        (b"01A+00024.35\r\n", [(b"01A+00024.35", b"01A+00024.35\r")]),
        (b"-\x00009891\r\x12", [(b"-\x00009891", b"-\x00009891\r")]),
        (b"1.5\r\n2.5\r\n", [(b"1.5", b"1.5\r"), (b"2.5", b"2.5\r")]),
        (b"1.5\r\x122.5\r\x12", [(b"1.5", b"1.5\r"), (b"2.5", b"2.5\r")]),
        (b"1.5\r2.5\r", [(b"1.5", b"1.5\r"), (b"2.5", b"2.5\r")]),
        (b"\x121.5\r", [(b"\x121.5", b"\x121.5\r")]),  # only behind CR is it part of an end
        (b"1.5\r\x12\x12\r", [(b"1.5", b"1.5\r"), (b"\x12", b"\x12\r")]),
        (b" \r", [(b" ", b" \r")]),
    ],
)
def test_line_ends(stream: bytes, expected: list[tuple[bytes, bytes]]) -> None:
    assert frames_of(stream) == [Frame(data, raw) for data, raw in expected]


@pytest.mark.parametrize("stream", [b"", b"\r", b"\n", b"\r\n", b"\r\n\r\n", b"\r\x12", b"\n\r"])
@pytest.mark.parametrize("trust_first", [True, False])
def test_empty_lines_are_nothing(stream: bytes, trust_first: bool) -> None:
    assert frames_of(stream, trust_first=trust_first) == []


def test_line_feed_in_a_later_chunk_is_the_same_end() -> None:
    framer = LineFramer(trust_first=True)
    assert framer.feed(b"01A+00024.35\r") == [Frame(b"01A+00024.35", b"01A+00024.35\r")]
    assert framer.feed(b"\n") == []
    assert framer.flush() == []


def test_sign_byte_alone_in_its_chunk_stays_with_its_frame() -> None:
    whole = Frame(b"-\x00009891", b"-\x00009891\r")
    assert frames_of(b"-", b"\x00009891\r\x12") == [whole]
    assert frames_of(b"-\x009898"[:4], b"9891\r", b"\x12")[0].whole


def test_first_frame_is_torn_when_listening_begins_anywhere() -> None:
    tail, whole = frames_of(b"4.35\r01A+00024.36\r", trust_first=False)
    assert tail == Frame(b"4.35", b"4.35\r", FrameFault.TORN_START)
    assert not tail.whole
    assert whole == Frame(b"01A+00024.36", b"01A+00024.36\r")


def test_listening_that_begins_at_a_line_end_tears_nothing() -> None:
    assert frames_of(b"\n1.5\r", trust_first=False) == [Frame(b"1.5", b"1.5\r")]


def test_flush_gives_up_the_rest_and_distrusts_what_follows() -> None:
    framer = LineFramer(trust_first=True)
    assert framer.feed(b"01A+0001") == []
    assert framer.pending_bytes == 8
    assert framer.flush() == [Frame(b"01A+0001", b"01A+0001", FrameFault.NO_END)]
    assert framer.pending_bytes == 0
    assert framer.feed(b"2.34\r5.67\r") == [
        Frame(b"2.34", b"2.34\r", FrameFault.AFTER_BREAK),
        Frame(b"5.67", b"5.67\r"),
    ]


def test_flush_of_nothing_changes_nothing() -> None:
    framer = LineFramer(trust_first=True)
    assert framer.flush() == []
    assert framer.feed(b"1.5\r") == [Frame(b"1.5", b"1.5\r")]


def test_run_without_end_is_bounded_and_never_whole() -> None:
    frames = frames_of(b"x" * 600 + b"\r1.5\r")
    assert [len(frame.data) for frame in frames] == [256, 256, 88, 3]
    assert [frame.fault for frame in frames] == [FrameFault.TOO_LONG] * 3 + [None]


def test_frame_of_just_the_limit_is_whole() -> None:
    (frame,) = frames_of(b"1" * MAX_FRAME_BYTES + b"\r")
    assert frame.whole


def test_too_long_is_told_before_torn_and_before_no_end() -> None:
    frames = frames_of(b"x" * 20, trust_first=False, max_frame_bytes=8)
    assert [frame.fault for frame in frames] == [FrameFault.TOO_LONG] * 3


def test_limit_below_one_byte_is_a_mistake_of_ours() -> None:
    with pytest.raises(ValueError, match="at least one byte"):
        LineFramer(trust_first=True, max_frame_bytes=0)


@given(line_bytes, st.lists(st.integers(1, 9)), st.booleans(), st.sampled_from([1, 7, 256]))
def test_frames_do_not_depend_on_chunking(
    stream: bytes, sizes: list[int], trust_first: bool, limit: int
) -> None:
    chunks, at = [], 0
    for size in sizes:
        chunks.append(stream[at : at + size])
        at += size
    chunks.append(stream[at:])
    cut = frames_of(*chunks, trust_first=trust_first, max_frame_bytes=limit)
    assert cut == frames_of(stream, trust_first=trust_first, max_frame_bytes=limit)


@given(line_bytes, st.booleans(), st.sampled_from([1, 7, 256]))
def test_no_byte_but_line_ends_is_ever_lost(stream: bytes, trust_first: bool, limit: int) -> None:
    frames = frames_of(stream, trust_first=trust_first, max_frame_bytes=limit)
    text = stream.replace(b"\r\x12", b"\r").replace(b"\r", b"").replace(b"\n", b"")
    assert b"".join(frame.data for frame in frames) == text
    assert all(frame.raw.startswith(frame.data) and frame.data for frame in frames)
    assert all(len(frame.data) <= limit for frame in frames)


@pytest.mark.parametrize("stream", STREAMS, ids=lambda stream: stream.hex(" ")[:40])
def test_every_cut_of_every_sample_gives_the_same_frames(stream: bytes) -> None:
    expected = frames_of(stream)
    for at in range(len(stream) + 1):
        assert frames_of(stream[:at], stream[at:]) == expected
    assert frames_of(*(bytes([byte]) for byte in stream)) == expected


@pytest.mark.parametrize("sample", [s for s in SAMPLES if "chunks" in s], ids=lambda s: s["id"])
def test_chunks_as_they_were_captured_give_the_same_frames(sample: dict[str, str]) -> None:
    chunks = [bytes.fromhex(chunk) for chunk in sample["chunks"]]
    assert frames_of(*chunks) == frames_of(bytes.fromhex(sample["hex"]))
