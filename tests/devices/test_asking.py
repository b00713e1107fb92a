from seatproof.devices.asking import Answer, Asking
from seatproof.devices.declared.request import Request

ONE = Request(octets=b"1\r", interval_s=1.0, answer_s=2.0)


def test_request_is_sent_once_for_each_wish_and_not_before_its_time() -> None:
    asking = Asking(ONE)
    assert asking.due(0.0) is None
    asking.ask()
    asking.ask()
    assert asking.due(0.1) == b"1\r"
    assert asking.due(0.2) is None
    assert asking.answer(0.3) is Answer.ASKED
    asking.ask()
    assert asking.due(0.9) is None, "the interface needs a second between requests"
    assert asking.due(1.1) == b"1\r"


def test_only_one_request_is_outstanding() -> None:
    asking = Asking(ONE)
    asking.ask()
    assert asking.due(0.0) == b"1\r"
    asking.ask()
    assert asking.due(1.5) is None
    assert not asking.missed(1.5)
    assert asking.missed(2.5)
    assert not asking.missed(2.6), "told once"
    assert asking.due(2.6) == b"1\r"


def test_late_and_second_answers_belong_to_no_request() -> None:
    asking = Asking(ONE)
    assert asking.answer(0.0) is Answer.UNASKED
    asking.ask()
    asking.due(1.0)
    assert asking.answer(3.5) is Answer.UNASKED
    asking.ask()
    asking.due(4.0)
    assert asking.answer(4.5) is Answer.ASKED
    assert asking.answer(4.6) is Answer.UNASKED


def test_timer_asks_by_itself_but_never_faster_than_the_interface() -> None:
    asking = Asking(ONE, every_s=0.1)
    sent = []
    for tenth in range(35):
        if asking.due(tenth / 10) is not None:
            sent.append(tenth)
            asking.answer(tenth / 10)
    assert sent == [0, 10, 20, 30]


def test_wish_on_a_line_that_was_lost_is_forgotten() -> None:
    asking = Asking(ONE)
    asking.ask()
    asking.begin()
    assert asking.due(0.0) is None
