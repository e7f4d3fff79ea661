"""Causes of a difference that lie with people at the table, one ballot each.

Pure. A voter too few on the machines (difference below 0): somebody signed and did not vote
there, or signed twice. One too many: somebody voted there without a signature that stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from app.rules.cause_nearness import (
    HALF_HOUR,
    MOST_LINES,
    QUARTER_HOUR,
    before_long_gap,
    is_first,
    nearness,
    of_one_order,
    on_paper,
    span_of,
)
from app.rules.cause_scene import (
    Found,
    Scene,
    Span,
    Suspect,
    entries_of,
    lines_of,
    minutes_between,
    spans_of,
)
from app.rules.cause_weights import TELLING, worth
from app.rules.day_facts import Enveloped, Signed, Withdrawn


def left_unrecorded(scene: Scene) -> Iterator[Found]:
    """Signed and gone: somebody wrote of it, said they were back, or nothing was written."""
    if scene.difference >= 0:
        return
    suspects = []
    for one in scene.voting:
        said = ("noted",) if scene.noted(one.line_id, one.at) else ()
        back = ("said-back",) if one.line_id in scene.facts.returned else ()
        if said or back:
            suspects.append(Suspect((one,), (*said, *back, *scene.time_evidence(one.at))))
    yield from _of_people(scene, "left-unrecorded", -1, suspects)
    before = before_long_gap(scene)
    gap = ("before-long-gap",) if before else ()
    near = before or [one for one in scene.voting if scene.in_window(one.at)]
    lines = tuple(one.line_id for one in near) if len(near) <= MOST_LINES else ()
    times = span_of(before) or _window(scene)
    yield Found("left-unrecorded", "machines", scene.difference, gap, {}, lines, times=times)


def signed_on_two_lines(scene: Scene) -> Iterator[Found]:
    """On a look-alike's line first, then on their own, and nobody took the first one back."""
    suspects = [
        Suspect((one, other), (*nearness(one, other), *_written_of(scene, one, other)))
        for one, other in _pairs(scene)
        if not (one.caught_up or other.caught_up) and not _is_affidavit(scene, one, other)
    ]
    yield from _of_people(scene, "signed-on-two-lines", -1, suspects)


def affidavit_and_line(scene: Scene) -> Iterator[Found]:
    """A line was added for somebody who had one, and both are signed."""
    suspects = [
        Suspect((one, other), (*nearness(one, other), *_written_of(scene, one, other)))
        for one, other in _pairs(scene)
        if _is_affidavit(scene, one, other)
    ]
    yield from _of_people(scene, "affidavit-and-line", -1, suspects)


def keyed_twice(scene: Scene) -> Iterator[Found]:
    """One line of the paper register keyed on two lines of the list."""
    caught_up = [one for one in scene.voting if one.caught_up]
    suspects = [Suspect(pair, ("same-order",)) for pair in of_one_order(caught_up)]
    for one in caught_up:
        alike = scene.signed_alike(one.line_id)
        suspects += [
            Suspect((one, other), on_paper(one, other)) for other in alike if is_first(one, other)
        ]
    yield from _of_people(scene, "keyed-twice", -1, suspects)


def moved_and_signed_again(scene: Scene) -> Iterator[Found]:
    """Moved to the right line, and then the voter signed a second time, here or there."""
    suspects = []
    for gone in (one for one in scene.facts.withdrawn if one.moved_to):
        near = [scene.by_line.get(gone.line_id), *scene.signed_alike(str(gone.moved_to))]
        suspects += [
            Suspect((other, gone), ("signed-again-soon", *scene.time_evidence(other.at)))
            for other in near
            if other and _is_another(gone, other)
        ]
    yield from _of_people(scene, "moved-and-signed-again", -1, suspects)


def signed_and_provisional(scene: Scene) -> Iterator[Found]:
    """The ballot lies in an envelope, and a signature stands for it as well."""
    suspects = []
    for one in scene.facts.provisional.values():
        own = scene.by_line.get(one.line_id)
        if own:
            suspects.append(Suspect((own, one), ("same-line",)))
        alike = scene.signed_alike(one.line_id)
        suspects += [Suspect((other, one), nearness(other, one)) for other in alike]
    yield from _of_people(scene, "signed-and-provisional", -1, suspects)


def signed_instead_of_marked(scene: Scene) -> Iterator[Found]:
    """Somebody working a list signed the line that they meant to mark."""
    suspects = []
    for one in scene.voting:
        for mark in scene.facts.marked.get(one.line_id, ()):
            soon = minutes_between(one, mark) <= QUARTER_HOUR
            at_once = ("marked-at-once",) if soon else ()
            suspects.append(Suspect((one, mark), ("marked-and-signed", *at_once)))
    yield from _of_people(scene, "signed-instead-of-marked", -1, suspects)


def voted_unsigned(scene: Scene) -> Iterator[Found]:
    """Past the table without a signature: a first step was recorded, or nothing at all."""
    if scene.difference <= 0:
        return
    suspects = [
        Suspect((step,), ("step-unsigned", *scene.time_evidence(step.at)))
        for line_id, step in scene.facts.steps.items()
        if not _is_accounted_for(scene, line_id)
    ]
    suspects += [
        Suspect((note,), ("noted", *scene.time_evidence(note.at)))
        for note in scene.facts.notes
        if note.line_id and note.about == "voter" and not _is_accounted_for(scene, note.line_id)
    ]
    yield from _of_people(scene, "voted-unsigned", 1, suspects)
    yield Found("voted-unsigned", "machines", scene.difference, times=_window(scene))


def withdrawn_but_voted(scene: Scene) -> Iterator[Found]:
    """Taken back, and nobody signed instead: the ballot was cast all the same."""
    suspects = []
    for gone in scene.facts.withdrawn:
        if gone.moved_to or gone.line_id in scene.facts.signed or _signed_instead(scene, gone):
            continue
        said = "nobody-signed-instead" if gone.why == "wrong_line" else "never-signed-again"
        evidence = (said, *scene.time_evidence(gone.at))
        suspects.append(Suspect((gone.signed, gone), evidence))
    yield from _of_people(scene, "withdrawn-but-voted", 1, suspects)


def provisional_in_machine(scene: Scene) -> Iterator[Found]:
    """It belongs into its envelope; the machine counted it."""
    over = _buttons_over(scene)
    suspects = []
    for one in scene.facts.provisional.values():
        told = ("button-tells",) if str(one.button) in over else ()
        noted = ("ballot-noted",) if _ballot_noted(scene, one) else ()
        suspects.append(Suspect((one,), (*told, *noted, *scene.time_evidence(one.at))))
    yield from _of_people(scene, "provisional-in-machine", 1, suspects)


def left_with_ballot(scene: Scene) -> Iterator[Found]:
    """Where ballots on paper are counted: gone with the voter, and not given back."""
    if scene.balance.terms.counted_by == "paper_ballots":
        left = [scene.facts.signed[line_id] for line_id in sorted(scene.facts.left)]
        suspects = [Suspect((one,), ()) for one in left]
        yield from _of_people(scene, "left-with-ballot", 1, suspects)


def _of_people(scene: Scene, code: str, sign: int, suspects: Iterable[Suspect]) -> Iterator[Found]:
    """As many of the suspects as the difference needs, the most suspicious first.

    What speaks for the weakest of them speaks for all. Where some are shown by strong evidence
    and the rest are not, those alone are a cause of their own.
    """
    ordered = sorted(suspects, key=lambda one: (-worth(one.evidence), one.points[0].seq))
    needed = scene.difference * sign
    if needed <= 0 or not ordered:
        return
    strong = [one for one in ordered if worth(one.evidence) >= TELLING]
    for chosen in (ordered, strong):
        count = min(len(chosen), needed)
        if count:
            yield _found(code, sign * count, chosen, chosen[count - 1].evidence)


def _found(code: str, delta: int, suspects: list[Suspect], evidence: tuple[str, ...]) -> Found:
    shown = suspects[:MOST_LINES]
    return Found(
        code,
        "machines",
        delta,
        evidence,
        {"count": abs(delta), "candidates": len(suspects)},
        lines_of(shown),
        entries=entries_of(shown),
        times=spans_of(shown),
    )


def _pairs(scene: Scene) -> Iterator[tuple[Signed, Signed]]:
    """Look-alikes that are both signed, each pair once, the earlier first."""
    for one in scene.voting:
        for other in scene.signed_alike(one.line_id):
            if one.seq < other.seq:
                yield one, other


def _written_of(scene: Scene, one: Signed, other: Signed) -> tuple[str, ...]:
    noted = any(scene.noted(each.line_id, one.at) for each in (one, other))
    return (*(("noted",) if noted else ()), *scene.time_evidence(other.at))


def _is_affidavit(scene: Scene, one: Signed, other: Signed) -> bool:
    return any(scene.facts.added.get(each.line_id) == "affidavit" for each in (one, other))


def _is_another(gone: Withdrawn, other: Signed) -> bool:
    """Signed near the mistake, by itself, on another line than the one it was moved to."""
    is_itself = other.line_id == gone.moved_to or other.moved_from is not None
    return not is_itself and minutes_between(gone.signed, other) <= HALF_HOUR


def _signed_instead(scene: Scene, gone: Withdrawn) -> bool:
    """A look-alike signed soon after: the voter found the right line."""
    if gone.why != "wrong_line":
        return False
    others = scene.signed_alike(gone.line_id)
    return any(minutes_between(gone, other) <= HALF_HOUR for other in others)


def _is_accounted_for(scene: Scene, line_id: str) -> bool:
    facts = scene.facts
    has_envelope = any(one.line_id == line_id for one in facts.provisional.values())
    return line_id in facts.signed or bool(facts.marked.get(line_id)) or has_envelope


def _buttons_over(scene: Scene) -> frozenset[str]:
    buttons = scene.balance.by_button or ()
    return frozenset(one.button for one in buttons if one.difference > 0)


def _ballot_noted(scene: Scene, one: Enveloped) -> bool:
    return any(
        note.about in ("ballot", "machine")
        and 0 <= (note.at - one.at).total_seconds() <= HALF_HOUR * 60
        for note in scene.facts.notes
    )


def _window(scene: Scene) -> tuple[Span, ...]:
    window = scene.window
    return () if window == Span(None, None) else (window,)


FINDERS: tuple[Callable[[Scene], Iterator[Found]], ...] = (
    left_unrecorded,
    signed_on_two_lines,
    affidavit_and_line,
    keyed_twice,
    moved_and_signed_again,
    signed_and_provisional,
    signed_instead_of_marked,
    voted_unsigned,
    withdrawn_but_voted,
    provisional_in_machine,
    left_with_ballot,
)
