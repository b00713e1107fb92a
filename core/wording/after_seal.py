"""What the record says beyond the sealed content: status, gaps, signatures, review, disposition.

The seal holds what was printed when it was made; these come with it or after it, and are read from
the events themselves. They hold words and decimal text only, nothing that is worked out.
"""

import hashlib

from seatproof.core.record.entries import Entry
from seatproof.core.record.kinds import Sealed, Signed
from seatproof.core.record.state import InspectionState
from seatproof.core.wording.content import Fact, Grid, Section
from seatproof.core.wording.moments import event_time, local_time
from seatproof.core.words import Words


def status(state: InspectionState, say: Words) -> str:
    """Say in a few words how far the sheet has come."""
    if state.superseded is not None:
        return say("superseded by {number}", number=state.superseded.payload.by.sheet_number)
    seal = state.seal
    if seal is None:
        return say("draft, not sealed")
    review = state.review
    if review is not None:
        return (
            say("reviewed") if review.payload.finding == "accepted" else say("review: not accepted")
        )
    if state.signatures_of(seal.seq):
        return say("signed")
    return say("sealed, not signed") if state.plan.signing.signatures else say("sealed")


def notices(state: InspectionState, say: Words) -> tuple[str, ...]:
    """Say what the sheet must not be taken for, beyond what its content says."""
    said = []
    if state.superseded is not None:
        number = state.superseded.payload.by.sheet_number
        said.append(say("SUPERSEDED by sheet {number}: no longer valid", number=number))
    if state.seal is None:
        said.append(say("DRAFT: not sealed, may still change"))
    return tuple(said)


def disposition_facts(state: InspectionState, say: Words) -> tuple[Fact, ...]:
    """Return what becomes of the shaft, which stands beside the verdict."""
    entry = state.disposition
    if entry is None:
        return ()
    decision = entry.payload
    parts = [say(decision.decision)]
    if decision.authority:
        parts.append(say("on the authority of {authority}", authority=decision.authority))
    if decision.number:
        parts.append(say("number {number}", number=decision.number))
    return (Fact(label=say("Disposition"), value=f"{', '.join(parts)}: {decision.reason}"),)


def gaps_section(state: InspectionState, say: Words) -> Section:
    """Return what stood open at a seal, and why it was sealed all the same."""
    facts = tuple(
        Fact(label=say.again(gap.what).rstrip("."), value=gap.reason)
        for seal in state.seals
        for gap in seal.payload.gaps
    )
    return Section(heading=say("Sealed with gaps"), facts=facts)


def review_section(state: InspectionState, say: Words) -> Section:
    """Return questions and answers, reviews and dispositions, and what took the sheet's place."""
    asked = {entry.seq: entry for entry in state.questions}
    answers = {entry.payload.of: entry for entry in state.answers}
    facts = []
    for seq, question in asked.items():
        label = say("{time}, {name} asks", time=event_time(question.event), name=question.actor)
        facts.append(Fact(label=label, value=question.payload.text))
        answer = answers.get(seq)
        if answer is None:
            facts.append(Fact(label=say("Answer"), value=say("none yet")))
        else:
            label = say("{time}, {name} answers", time=event_time(answer.event), name=answer.actor)
            facts.append(Fact(label=label, value=answer.payload.text))
    for review in state.reviews:
        finding = say(review.payload.finding)
        note = f": {review.payload.note}" if review.payload.note else ""
        label = say("{time}, review by {name}", time=event_time(review.event), name=review.actor)
        facts.append(Fact(label=label, value=f"{finding}{note}"))
    for entry in state.dispositions:
        decision = entry.payload
        label = say("{time}, disposition by {name}", time=event_time(entry.event), name=entry.actor)
        authority = (
            say(", on the authority of {authority}", authority=decision.authority)
            if decision.authority
            else ""
        )
        number = say(", number {number}", number=decision.number) if decision.number else ""
        value = f"{say(decision.decision)}{authority}{number}: {decision.reason}"
        facts.append(Fact(label=label, value=value))
    if state.superseded is not None:
        entry_ = state.superseded
        reference = entry_.payload.by
        label = say("{time}, superseded", time=event_time(entry_.event))
        value = say(
            "by sheet {number}, last event {digest}…: {reason}",
            number=reference.sheet_number,
            digest=reference.head_hash[:16],
            reason=entry_.payload.reason,
        )
        facts.append(Fact(label=label, value=value))
    sentences = []
    if state.reviewed_by_measurer:
        sentences.append(say("The review is by a person who also measured."))
    return Section(
        heading=say("Review and disposition"), facts=tuple(facts), sentences=tuple(sentences)
    )


def signatures_section(state: InspectionState, say: Words) -> Section:
    """Return the signatures in the record, each with its meaning and the key it was made with."""
    grid = Grid(
        heads=tuple(
            say(head) for head in ("meaning", "name", "role", "time", "over event", "key (SHA-256)")
        ),
        shares=(0.15, 0.19, 0.13, 0.2, 0.08, 0.25),
        figures=(4,),
        rows=tuple(_signature(entry, say) for entry in state.signatures),
        note=say(
            "Electronic signatures (Ed25519) over the record; checking the attached record checks "
            "them."
        ),
    )
    return Section(heading=say("Signatures"), grids=(grid,) if state.signatures else ())


def hand_signature_labels(state: InspectionState, say: Words) -> tuple[tuple[str, str], ...]:
    """Return the lines to sign by hand, with the names that belong to them."""
    review = state.review
    return (
        (say("Measured by"), ", ".join(state.inspectors)),
        (say("Reviewed by"), "" if review is None else review.actor),
    )


def seal_facts(state: InspectionState, say: Words) -> tuple[Fact, ...]:
    """Return the seals of the record: when, by whom, with which words."""
    facts = []
    for entry in state.seals:
        facts.append(Fact(label=_sealed_label(entry, say), value=_sealed_words(entry, say)))
        facts.append(Fact(label=say("Statement"), value=entry.payload.statement))
    return tuple(facts)


def _sealed_label(entry: Entry[Sealed], say: Words) -> str:
    return say("Sealed") if entry.payload.part == "measuring" else say("Fitting sealed")


def _sealed_words(entry: Entry[Sealed], say: Words) -> str:
    return say(
        "{time} by {name}, as event {number}",
        time=event_time(entry.event),
        name=entry.actor,
        number=str(entry.seq),
    )


def _signature(entry: Entry[Signed], say: Words) -> tuple[str, ...]:
    signed = entry.payload
    return (
        say(signed.meaning),
        signed.name,
        say(signed.role),
        local_time(entry.moment, entry.event.offset_min),
        str(signed.of_seq),
        key_fingerprint(signed.public_key),
    )


def key_fingerprint(public_key: str) -> str:
    """Return a short name of a public key (hexadecimal): 16 digits of its SHA-256, in groups.

    >>> key_fingerprint("00" * 32)
    '6668 7aad f862 bd77'
    """
    digest = hashlib.sha256(bytes.fromhex(public_key)).hexdigest()[:16]
    return " ".join(digest[start : start + 4] for start in range(0, 16, 4))
