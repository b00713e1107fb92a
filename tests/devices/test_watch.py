from seatproof.devices.line_state import Symptom
from seatproof.devices.watch import LineWatch


def watch() -> LineWatch:
    return LineWatch("COM10", "9600 8N1", dtr=True, rts=False, now_s=100.0, silence_s=20.0)


def test_silence_is_told_once_with_what_to_check() -> None:
    line = watch()
    assert line.symptom(119.0) is None
    told = line.symptom(120.0)
    assert told is not None
    symptom, sentence = told
    assert symptom is Symptom.SILENCE
    for word in ("COM10", "20 s", "battery", "DTR is on", "RTS is off", "button held"):
        assert word in sentence
    assert line.symptom(200.0) is None


def test_gauge_that_has_sent_may_be_silent_for_ever() -> None:
    line = watch()
    line.take(13, has_reading=True, now_s=101.0)
    assert line.symptom(10_000.0) is None


def test_flood_without_a_reading_is_told_once_with_the_settings() -> None:
    line = watch()
    told = []
    for n in range(20):
        line.take(100, has_reading=False, now_s=101.0 + n / 10)
        found = line.symptom(101.0 + n / 10)
        told += [found] if found else []
    assert [symptom for symptom, _ in told] == [Symptom.FLOOD]
    assert "9600 8N1" in told[0][1]


def test_fast_stream_of_readings_and_slow_nonsense_are_no_flood() -> None:
    stream, slow = watch(), watch()
    for n in range(200):
        stream.take(16, has_reading=True, now_s=101.0 + n / 50)
        slow.take(16, has_reading=False, now_s=101.0 + n)
        assert stream.symptom(101.0 + n / 50) is None
        assert slow.symptom(101.0 + n) is None
