"""Causes of a difference that lie in lists, paper pages, ballot buttons and counts on paper.

Pure. A list is compared with its own printed total, ballots with their own buttons: those
differences stand beside the one between machines and signatures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from app.rules.balance import ButtonBalance
from app.rules.cause_nearness import MOST_LINES
from app.rules.cause_scene import Found, Scene, Span
from app.rules.cause_weights import worth
from app.rules.causes_of_counters import one_digit_other, swapped
from app.rules.day_facts import ListTotal, PaperTime, Signed

# Ballots come in packs. Common practice, no source.
_PACKS = (25, 50, 100)

# Of a page that was said to be caught up, a line or two may still be missing; no more.
_OVERLOOKED = 3

# Which way a count on paper moves the ballots that went out.
_SIGN_OF_COUNT = {"received": 1, "resupplied": 1, "unused": -1, "spoiled": -1}


def list_row_missed(scene: Scene) -> Iterator[Found]:
    """Fewer rows than the list has: one was passed over, or waits still."""
    for one in scene.facts.lists.values():
        if one.count < one.total:
            open_still = () if _is_done(one) else ("list-not-finished",)
            yield _of_list("list-row-missed", one, ("total-says", *open_still))


def list_row_twice(scene: Scene) -> Iterator[Found]:
    """More rows than the list has."""
    for one in scene.facts.lists.values():
        if one.count > one.total:
            yield _of_list("list-row-twice", one, ("total-says",))


def page_not_caught_up(scene: Scene) -> Iterator[Found]:
    """Voters on the paper register whose lines are not keyed yet."""
    needed = scene.difference
    if needed <= 0 or not scene.facts.paper:
        return
    caught_up = [one for one in scene.voting if one.caught_up]
    missing = _passed_over(caught_up)
    if missing:
        orders, pages = [order for _, order in missing], [page for page, _ in missing]
        facts: dict[str, object] = {"orders": orders, "pages": pages}
        delta = min(len(missing), needed)
        yield _of_paper(scene, delta, ("orders-missing",), facts)
    for one in scene.facts.paper:
        yield from _of_page(scene, one, caught_up, needed)


def button_given_wrongly(scene: Scene) -> Iterator[Found]:
    """One ballot is ahead by as much as another is behind."""
    buttons = scene.balance.by_button or ()
    over = [one for one in buttons if one.difference > 0]
    under = [one for one in buttons if one.difference < 0]
    for given in over:
        for meant in under:
            count = min(given.difference, -meant.difference)
            yield _of_button(scene, given, meant, count)


def ballots_miscounted(scene: Scene) -> Iterator[Found]:
    """A pack too many or too few, two digits swapped, one misread, in a count on paper."""
    if scene.balance.terms.counted_by != "paper_ballots":
        return
    options = []
    for what, sign in _SIGN_OF_COUNT.items():
        count = getattr(scene.balance.terms, what)
        for likely, evidence in _other_counts(count or 0) if count else ():
            if likely >= 0 and sign * (count - likely) == scene.difference:
                options.append((evidence, {"what": what, "counted": count, "likely": likely}))
    if options:
        options.sort(key=lambda option: -worth(option[0]))
        facts = {"options": [facts for _, facts in options]}
        evidence = options[0][0]
        yield Found("ballots-miscounted", "machines", scene.difference, evidence, facts)


def _other_counts(count: int) -> Iterator[tuple[int, tuple[str, ...]]]:
    for pack in _PACKS:
        yield from ((likely, ("a-bundle",)) for likely in (count - pack, count + pack))
    yield from ((likely, ("difference-of-nines",)) for likely in swapped(count))
    for likely, is_alike in one_digit_other(count):
        yield likely, ("digits-look-alike",) if is_alike else ()


def _is_done(one: ListTotal) -> bool:
    return one.finished is not None or (not one.is_paper and not one.open)


def _of_list(code: str, one: ListTotal, evidence: tuple[str, ...]) -> Found:
    return Found(
        code,
        "marks",
        one.count - one.total,
        evidence,
        {
            "list_seq": one.seq,
            "list": one.name,
            "list_kind": one.list_kind,
            "count": one.count,
            "printed_total": one.total,
        },
        entries=(one.seq,),
        times=(Span(one.at, one.finished),),
        about=str(one.seq),
    )


def _passed_over(caught_up: list[Signed]) -> list[tuple[int, int]]:
    """Page and order of signatures that are missing although later ones of the page are there."""
    pages: dict[tuple[int, int], set[int]] = {}
    for one in caught_up:
        if one.caught_up:
            hour, page, order = one.caught_up.place
            pages.setdefault((hour, page), set()).add(order)
    return [
        (page, order)
        for (_, page), orders in sorted(pages.items())
        for order in range(1, max(orders))
        if order not in orders
    ]


def _of_page(scene: Scene, one: PaperTime, caught_up: list[Signed], needed: int) -> Iterator[Found]:
    facts: dict[str, object] = {"begun_seq": one.seq}
    if one.finished is None:
        yield _of_paper(scene, needed, ("paper-open",), facts)
        return
    here = [each for each in caught_up if each.seq > one.seq and each.at <= one.finished]
    lacking = (one.lines or 0) - len(here)
    if lacking > 0:
        facts |= {"lines": one.lines, "caught_up": len(here)}
        yield _of_paper(scene, min(lacking, needed), ("fewer-than-said",), facts)
    if needed <= _OVERLOOKED:
        yield _of_paper(scene, needed, ("was-on-paper",), facts)


def _of_paper(
    scene: Scene, delta: int, evidence: tuple[str, ...], facts: dict[str, object]
) -> Found:
    times = tuple(Span(one.at, one.finished) for one in scene.facts.paper)
    entries = tuple(one.seq for one in scene.facts.paper)
    return Found(
        "page-not-caught-up", "machines", delta, evidence, facts, entries=entries, times=times
    )


def _of_button(scene: Scene, given: ButtonBalance, meant: ButtonBalance, count: int) -> Found:
    """Lines whose button was corrected, or to which a signature was moved, come first."""
    corrected = scene.facts.corrected_buttons
    signed = [one for one in scene.voting if str(one.button) == meant.button]
    told = [one for one in signed if one.line_id in corrected or one.moved_from]
    rest = [one for one in signed if one not in told]
    shown = told or rest
    return Found(
        "button-given-wrongly",
        "buttons",
        count,
        ("line-was-corrected",) if told else (),
        {"given": given.button, "meant": meant.button, "count": count},
        tuple(one.line_id for one in shown) if len(shown) <= MOST_LINES else (),
        entries=tuple(one.seq for one in told[:MOST_LINES]),
        about=f"{given.button}:{meant.button}",
    )


FINDERS: tuple[Callable[[Scene], Iterator[Found]], ...] = (
    list_row_missed,
    list_row_twice,
    page_not_caught_up,
    button_given_wrongly,
    ballots_miscounted,
)
