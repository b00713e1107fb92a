import random
import sys
from collections import Counter
from decimal import Decimal
from pathlib import Path

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.derive.candidate import Question
from seatproof.devices.derive.press import KnownPress, Shown, parse_shown
from seatproof.devices.derive.work_out import proof, work_out
from seatproof.devices.formats import Reading

sys.path.insert(0, str(Path(__file__).parent))
from gauges import Gauge, any_gauge, any_value, has_minus

N_GAUGES = 1000
N_FURTHER = 25


def press(raw: bytes, shown: str) -> KnownPress:
    return KnownPress(raw, parse_shown(shown))


def three_presses(gauge: Gauge, rng: random.Random) -> list[KnownPress]:
    """Press as a person is asked to: a large value, a negative one, and one near zero.

    One person in forty has no negative value at hand, and one in a hundred presses thrice alike.
    """
    chance = rng.random()
    large, near = (any_value(gauge, rng, size=size) for size in ("large", "near zero"))
    other = any_value(gauge, rng, size="any")
    if has_minus(gauge) and chance > 0.025:
        other = -other
    if chance > 0.99:
        near = large
    return [KnownPress(gauge.encode(value), Shown(value)) for value in (large, other, near)]


def read(form: GaugeFormat, raw: bytes) -> Decimal | None:
    result = proof(form, KnownPress(raw, Shown(Decimal(0))))
    return result.value if isinstance(result, Reading) else None


def test_thousand_gauges_none_learned_wrongly_most_learned_the_rest_say_what_is_missing() -> None:
    rng = random.Random(20310506)
    outcomes: Counter[str] = Counter()
    for n in range(N_GAUGES):
        gauge = any_gauge(rng)
        presses = three_presses(gauge, rng)
        found = work_out(presses)
        further = [any_value(gauge, rng, size="any") for _ in range(N_FURTHER)]
        if has_minus(gauge):
            further += [-value for value in further]
        if found.format is not None:
            values = {v: read(found.format, gauge.encode(v)) for v in further}
            wrong = {v: got for v, got in values.items() if got not in (None, v)}
            assert not wrong, (n, gauge, presses, found.format, wrong)
            refused = [v for v, got in values.items() if got is None]
            if found.is_settled:
                assert not refused, (n, gauge, presses, found.format, refused)
        if found.is_settled or _all_it_can(gauge, found.questions):
            outcomes["learned"] += 1
        else:
            assert found.questions, (n, gauge, presses, found.trouble)
            outcomes["asks"] += 1
    assert outcomes["learned"] >= 950, outcomes


def _all_it_can(gauge: Gauge, questions: tuple[Question, ...]) -> bool:
    """Tell whether only a minus is missing that this gauge does not have."""
    return questions == (Question.NEGATIVE,) and not has_minus(gauge)
