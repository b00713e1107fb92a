"""What can be wrong with the facts that an uncertainty is made from.

UncertaintyError
    CurveRangeError    a size lies outside what a calibration covered
    CancelledError     whoever asked for a simulation does not want it any longer
"""


class UncertaintyError(ValueError):
    """A fact that no uncertainty can be made from; the message says what to do."""


class CurveRangeError(UncertaintyError):
    """A size lies beyond the sizes at which a gauge was calibrated."""

    def __init__(self, size_mm: float, lowest_mm: float, highest_mm: float) -> None:
        self.size_mm = size_mm
        self.lowest_mm = lowest_mm
        self.highest_mm = highest_mm
        super().__init__(
            f"{size_mm:g} mm lies outside the calibrated sizes, {lowest_mm:g} mm to "
            f"{highest_mm:g} mm; use a gauge whose certificate covers it"
        )


class CancelledError(Exception):
    """A simulation was called off before its end; it has no result."""

    def __init__(self, trials: int) -> None:
        self.trials = trials
        super().__init__(f"called off after {trials} trials")
