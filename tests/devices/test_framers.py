import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.devices.declared.framing import AnyLine, End, Framing, Length, Marks, Quiet
from seatproof.devices.framers import (
    MAX_BURST_BYTES,
    EndFramer,
    GapFramer,
    LengthFramer,
    MarkFramer,
)
from seatproof.devices.framing import MAX_FRAME_BYTES, Frame, FrameFault, Framer

ALL: list[Framing] = [
    AnyLine(),
    End(end=b"\r\n"),
    End(end=b"\x04"),
    Marks(),
    Marks(start=b"[", end=b"]", bytes_behind=2),
    Length(length=5, sync=b"\xaa"),
    Length(length=4),
    Quiet(),
    Quiet(end=b"]"),
]
stream_bytes = st.lists(
    st.one_of(
        st.sampled_from([b"\r\n", b"\x02", b"\x03", b"[", b"]", b"\xaa", b"\x04", b"1.5", b"\r"]),
        st.binary(max_size=4),
    )
).map(b"".join)


def fed(framer: Framer, *chunks: bytes) -> list[Frame]:
    return [frame for chunk in chunks for frame in framer.feed(chunk)]


@pytest.mark.parametrize("framing", ALL, ids=lambda framing: framing.in_words())
@given(
    before=stream_bytes, after=stream_bytes, sizes=st.lists(st.integers(1, 9)), trust=st.booleans()
)
def test_frames_depend_on_bytes_and_silences_but_not_on_chunks(
    framing: Framing, before: bytes, after: bytes, sizes: list[int], trust: bool
) -> None:
    def chunks_of(stream: bytes) -> list[bytes]:
        cut, at = [], 0
        for size in sizes:
            cut.append(stream[at : at + size])
            at += size
        return [*cut, stream[at:]]

    whole, cut = framing.framer(trust_first=trust), framing.framer(trust_first=trust)
    expected = [*fed(whole, before), *whole.silence(), *fed(whole, after), *whole.flush()]
    frames = [*fed(cut, *chunks_of(before)), *cut.silence()]
    frames += [*fed(cut, *chunks_of(after)), *cut.flush()]
    assert frames == expected
    assert all(len(frame.data) <= MAX_FRAME_BYTES for frame in frames)
    assert all(frame.data in frame.raw for frame in frames)
    assert framing.framer(trust_first=trust).flush() == []


@pytest.mark.parametrize("framing", ALL, ids=lambda framing: framing.in_words())
def test_endless_noise_is_bounded_and_never_whole(framing: Framing) -> None:
    framer = framing.framer(trust_first=False)
    frames = fed(framer, b"x" * 3000) + framer.flush()
    assert sum(len(frame.raw) for frame in frames) == 3000
    assert not any(frame.whole for frame in frames)


def test_two_byte_end_may_come_in_two_chunks() -> None:
    framer = EndFramer(b"\r\n", trust_first=True)
    assert fed(framer, b"1.5\r") == []
    assert fed(framer, b"\n\r\n2") == [Frame(b"1.5", b"1.5\r\n")]
    assert framer.flush() == [Frame(b"2", b"2", FrameFault.NO_END)]
    assert fed(framer, b".5\r\n3\r\n") == [
        Frame(b".5", b".5\r\n", FrameFault.AFTER_BREAK),
        Frame(b"3", b"3\r\n"),
    ]


def test_marks_prove_a_frame_whole_whenever_listening_began() -> None:
    framer = MarkFramer(2, 3)
    tail, whole = fed(framer, b"4.35\x03\x02029990\x03\r\n")
    assert tail == Frame(b"4.35\x03", b"4.35\x03", FrameFault.OUTSIDE)
    assert whole == Frame(b"029990", b"\x02029990\x03")
    assert framer.silence() == []


def test_marks_with_nothing_between_them_are_a_frame_that_says_nothing() -> None:
    assert fed(MarkFramer(2, 3), b"\x02\x03") == [Frame(b"", b"\x02\x03")]


def test_frame_that_lost_its_end_mark_is_not_joined_to_the_next() -> None:
    broken, whole = fed(MarkFramer(2, 3), b"\x0202\x02029990\x03")
    assert broken == Frame(b"\x0202", b"\x0202", FrameFault.OUTSIDE)
    assert whole.data == b"029990"


def test_check_characters_behind_the_end_mark_belong_to_the_frame() -> None:
    framer = MarkFramer(2, 0x17, n_behind=3)
    assert fed(framer, b"\x02ab\x1714") == []
    assert fed(framer, b"$\x02") == [Frame(b"ab", b"\x02ab\x1714$")]
    assert framer.flush() == [Frame(b"\x02", b"\x02", FrameFault.NO_END)]


def test_length_without_sync_is_trusted_only_between_two_silences() -> None:
    framer = LengthFramer(3, sync=None, trust_first=False, gap_s=0.1)
    assert fed(framer, b"123") == []
    assert framer.silence() == [Frame(b"123", b"123", FrameFault.TORN_START)]
    assert fed(framer, b"456") == []
    assert framer.silence() == [Frame(b"456", b"456")]
    assert framer.silence() == []
    assert fed(framer, b"123", b"456") == []
    assert framer.silence() == [Frame(b"123", b"123"), Frame(b"456", b"456")]
    assert fed(framer, b"789") == []
    assert framer.flush() == [Frame(b"789", b"789", FrameFault.NO_END)]
    assert fed(framer, b"012") == []
    assert framer.silence() == [Frame(b"012", b"012", FrameFault.AFTER_BREAK)]


def test_byte_lost_from_glued_frames_of_one_length_costs_all_of_them() -> None:
    # Counted on, the first would take a byte of the second: 45|6 would be no value that was sent.
    framer = LengthFramer(6, sync=None, trust_first=True, gap_s=0.1)
    assert fed(framer, b"01234" + b"024360") == []
    (frame,) = framer.silence()
    assert frame.fault is FrameFault.NO_END
    assert frame.raw == b"01234024360"


def test_run_without_any_silence_is_given_up_piece_by_piece() -> None:
    framer = LengthFramer(6, sync=None, trust_first=True, gap_s=0.1)
    frames = fed(framer, b"7" * 2 * MAX_BURST_BYTES) + framer.silence()
    assert {frame.fault for frame in frames} == {FrameFault.TOO_LONG}
    assert sum(len(frame.raw) for frame in frames) == 2 * MAX_BURST_BYTES
    assert max(len(frame.raw) for frame in frames) == MAX_FRAME_BYTES


def test_silence_ends_a_frame_and_a_pulled_plug_does_not() -> None:
    framer = GapFramer(0.1, trust_first=True)
    assert fed(framer, b"1", b".5") == []
    assert framer.silence() == [Frame(b"1.5", b"1.5")]
    assert fed(framer, b"2.5") == []
    assert framer.flush() == [Frame(b"2.5", b"2.5", FrameFault.NO_END)]
    torn = GapFramer(0.1, trust_first=False)
    assert fed(torn, b"3.5") == []
    assert torn.silence() == [Frame(b"3.5", b"3.5", FrameFault.TORN_START)]


def test_last_byte_before_the_silence_is_demanded_where_it_is_declared() -> None:
    framer = GapFramer(0.1, trust_first=True, end=b",")
    assert fed(framer, b"1,5,") == []
    assert framer.silence() == [Frame(b"1,5", b"1,5,")]
    assert fed(framer, b"1,5") == []
    assert framer.silence() == [Frame(b"1,5", b"1,5", FrameFault.NO_END)]


def test_rest_of_a_frame_that_was_held_up_is_no_frame_however_long_it_took() -> None:
    framer = GapFramer(0.1, trust_first=True, end=b" ")
    assert fed(framer, b"1") == []
    assert framer.silence() == [Frame(b"1", b"1", FrameFault.NO_END)]
    assert framer.silence() == framer.silence() == []
    assert fed(framer, b"2.345 ") == []
    assert framer.silence() == [Frame(b"2.345", b"2.345 ", FrameFault.AFTER_BREAK)]
    assert fed(framer, b"12.346 ") == []
    assert framer.silence() == [Frame(b"12.346", b"12.346 ")]


def test_impossible_framers_are_mistakes_of_ours() -> None:
    with pytest.raises(ValueError, match="at least one byte"):
        EndFramer(b"", trust_first=True)
    with pytest.raises(ValueError, match="differ"):
        MarkFramer(2, 2)
    with pytest.raises(ValueError, match="differ"):
        Marks(start=b"[", end=b"[")
    with pytest.raises(ValueError, match="bytes, not 0"):
        LengthFramer(0, sync=None, trust_first=True, gap_s=0.1)
