"""The plans kept in an archive, version by version.

A version that an inspection was opened from is never changed again; what comes after it is a new
version. What an inspection used is in its own record anyway: this register is for those to come.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Final

from pydantic import Field

from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import MAX_PLAN_BYTES, parse_plan
from seatproof.core.record.events import Event
from seatproof.core.record.kinds.parts import Payload, Reason
from seatproof.core.registers.register import Register, RegisterStore, read_entry

REGISTER: Final = "plans"


class PlanKept(Payload):
    """A version of a plan, as its text; an earlier text of an unused version is replaced."""

    kind = "plan kept"
    plan_toml: Annotated[str, Field(max_length=MAX_PLAN_BYTES)]


class PlanPutAway(Payload):
    """A version is offered no longer; it stays in the register."""

    kind = "plan put away"
    title: str
    version: str
    reason: Reason


_KINDS: Final[Mapping[str, type[Payload]]] = {
    payload.kind: payload for payload in (PlanKept, PlanPutAway)
}


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A version of a plan as the register has it."""

    title: str
    version: str
    text: str
    kept_by: str
    moment: datetime
    put_away_because: str = ""


@dataclass(slots=True)
class PlanBook:
    """The open register; `is_used` tells whether an inspection was opened from a version."""

    register: Register
    is_used: Callable[[str, str], bool]
    plans: Mapping[tuple[str, str], KeptPlan] = field(default_factory=dict)

    @classmethod
    def open(
        cls,
        store: RegisterStore,
        clock: Callable[[], datetime],
        is_used: Callable[[str, str], bool],
    ) -> "PlanBook":
        """Read the register of an archive.

        Raises
        ------
        ChainBrokenError
            It was altered.
        EventUnknownError
            It was written by a newer program.
        """
        register = Register.open(REGISTER, store, clock)
        plans: dict[tuple[str, str], KeptPlan] = {}
        for event in register.events:
            _add(plans, event)
        return cls(register, is_used, plans)

    def offered(self) -> tuple[KeptPlan, ...]:
        """Return the plans on offer, by title, the newest version of each first."""
        on_offer = [plan for plan in self.plans.values() if not plan.put_away_because]
        on_offer.sort(key=lambda plan: plan.moment, reverse=True)
        return tuple(sorted(on_offer, key=lambda plan: plan.title.casefold()))

    def keep(self, actor: str, text: str) -> KeptPlan:
        """Keep a plan; the same text kept again changes nothing.

        Raises
        ------
        PlanError
            It is no plan, or its version was used already and says something else.
        """
        heading = parse_plan(text, source="to be kept").heading
        key = (heading.title, heading.version)
        before = self.plans.get(key)
        if before is not None and before.text == text and not before.put_away_because:
            return before
        if before is not None and before.text != text and self.is_used(*key):
            raise PlanError.single(
                f"{heading.title}, version {heading.version}",
                "an inspection was made with this version, so it stays as it is; give the changed "
                "plan a new version",
            )
        self._log(actor, PlanKept(plan_toml=text))
        return self.plans[key]

    def put_away(self, actor: str, title: str, version: str, reason: str) -> None:
        """Offer a version no longer.

        Raises
        ------
        PlanError
            There is no such version, or no reason was given.
        """
        if (title, version) not in self.plans:
            raise PlanError.single(f"{title}, version {version}", "is not in the register")
        if not reason.strip():
            raise PlanError.single(f"{title}, version {version}", "give a reason to put it away")
        self._log(actor, PlanPutAway(title=title, version=version, reason=reason.strip()))

    def _log(self, actor: str, payload: Payload) -> None:
        event = self.register.append(actor, payload)
        plans = dict(self.plans)
        _add(plans, event)
        self.plans = plans


def _add(plans: dict[tuple[str, str], KeptPlan], event: Event) -> None:
    match read_entry(event, _KINDS):
        case PlanKept(plan_toml=text):
            heading = parse_plan(text, source="in the register").heading
            key = (heading.title, heading.version)
            plans[key] = KeptPlan(*key, text, event.actor, event.moment)
        case PlanPutAway(title=title, version=version, reason=reason):
            old = plans[title, version]
            plans[title, version] = KeptPlan(
                old.title, old.version, old.text, old.kept_by, old.moment, reason
            )
