"""What a gauge wants to be sent before it answers with a value."""

from typing import Annotated

from pydantic import Field

from seatproof.devices.declared.base import Declared, Octets


class Request(Declared):
    """The bytes of a request, and the times it needs.

    Attributes
    ----------
    octets : bytes
        What is sent.
    interval_s : float
        Least time between two requests; some interfaces must charge in between.
    answer_s : float
        How long an answer may take. One that comes later belongs to no press and is doubted.
    also_unasked : bool
        Whether the gauge also sends at its own button, so that a value without a request is none
        to be doubted.
    """

    octets: Annotated[Octets, Field(min_length=1, max_length=32)]
    interval_s: Annotated[float, Field(ge=0, le=60)] = 1.0
    answer_s: Annotated[float, Field(gt=0, le=60)] = 2.0
    also_unasked: bool = False
