"""Commands of the fitting, between the seal of the measuring part and its own."""

from seatproof.core.record.calibration import service_faults
from seatproof.core.record.commands.logbook import Logbook, given, made
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import (
    BoltsLoosened,
    BoltTightened,
    FittingBegun,
    IsolationConfirmed,
    OrderChosen,
    StepAnswered,
    ThreadNoted,
    ToolInService,
)


class Fitting(Logbook):
    """What is done to put the ring on its seat."""

    __slots__ = ()

    def begin_fitting(self, reason: str = "") -> None:
        """Begin to fit; where the seats are not released for it, a reason is needed.

        Raises
        ------
        CommandRefusedError
            The measuring part is not sealed, or the seats are not released and no reason is given.
        """
        if self.state.sealed is None:
            raise CommandRefusedError("The inspection is not sealed yet; seal it first.")
        seats = tuple(dict.fromkeys(step.seat for step in self.state.plan.fitting if step.seat))
        obstacle = self.state.fitting_released(seats)
        if obstacle is not None and not reason.strip():
            raise CommandRefusedError(f"{obstacle} Give a reason for fitting all the same.")
        self._log(made(FittingBegun, released=obstacle is None, reason=reason.strip()))

    def confirm_isolation(self, cautions: tuple[str, ...], permit: str = "") -> None:
        """Note that one has isolated the machine and read the cautions, before hands go in."""
        self._log(made(IsolationConfirmed, cautions=cautions, permit=permit.strip()))

    def put_tool_in_service(self, tool: ToolInService) -> None:
        """Put a tool in service; one whose calibration has run out needs an `override_reason`."""
        faults = service_faults(tool, self.state.plan, self.clock().date())
        if faults and not tool.override_reason.strip():
            raise CommandRefusedError(" ".join(faults))
        self._log(tool)

    def answer_step(self, answered: StepAnswered) -> None:
        self._log(answered)

    def note_threads(self, step: str, lubricant: str) -> None:
        """Note in which state the threads of a joint are."""
        self._log(made(ThreadNoted, step=step, lubricant=lubricant.strip()))

    def choose_order(self, step: str, stage: int, order: tuple[str, ...], reason: str) -> None:
        """Let another order of the bolts hold for a stage, counted from 0, with the reason."""
        self._log(made(OrderChosen, step=step, stage=stage, order=order, reason=given(reason)))

    def tighten(self, tightened: BoltTightened) -> None:
        """Note that a bolt was tightened; out of order and off target are noted like the rest."""
        self._log(tightened)

    def loosen(self, step: str, reason: str) -> None:
        """Note that all bolts of a joint were loosened; its tightening begins again."""
        self._log(made(BoltsLoosened, step=step, reason=given(reason)))
