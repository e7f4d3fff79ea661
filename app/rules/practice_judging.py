"""Whether an exercise ended right: what the log says a worker did, beside what was wanted. Pure.

Nobody is judged by how long they took, or by what they looked at: only by what they recorded.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from app.rules.setting import Setting

Result = Literal["right", "mended", "wrong"]

# Writing something down is never wrong, nor is asking the registrar.
HARMLESS = frozenset(
    {
        *("irregularity.recorded", "irregularity.settled", "phone_in.recorded", "form.given"),
        *("worker.signed_on", "worker.signed_off"),
    }
)
SIGNED = "signature.recorded"
# What the lead does to a signature that was a mistake: how it is mended, and no mistake itself.
MENDING = frozenset({"signature.withdrawn", "provisional.withdrawn"})


@dataclass(frozen=True, slots=True)
class Deed:
    """One entry of the worker: its kind, the role on whose line it is, and what it says.

    `role` is blank for no line, and for a line that is of no role of this worker's set.
    """

    kind: str
    role: str
    body: Mapping[str, Any] = field(default_factory=dict)
    is_on_a_line: bool = False


@dataclass(frozen=True, slots=True)
class Wanted:
    """One entry that an exercise ends with. `roles` empty: on no line.

    `says` must stand in the entry. `setting`: only where this setting of the policy is on;
    where it is off, nobody asks for it.
    """

    kind: str
    roles: tuple[str, ...] = ()
    says: Mapping[str, object] = field(default_factory=dict)
    setting: str = ""

    def fits(self, deed: Deed) -> bool:
        is_there = deed.role in self.roles if self.roles else not deed.is_on_a_line
        said = all(deed.body.get(name) == value for name, value in self.says.items())
        return deed.kind == self.kind and is_there and said


@dataclass(frozen=True, slots=True)
class End:
    """A way in which an exercise ends right. `when`: at which places.

    Their order is not asked for: what comes first is held by the verdict already.
    """

    wanted: tuple[Wanted, ...]
    when: Callable[[Setting], bool] = lambda _setting: True


@dataclass(frozen=True, slots=True)
class Judged:
    """`wrong_actions` counts records that did not belong; `faults` are codes, gravest first."""

    result: Result
    wrong_actions: int = 0
    faults: tuple[str, ...] = ()


def judge(ends: Sequence[End], deeds: Sequence[Deed], setting: Setting) -> Judged:
    """The best that can be said of what was done: by the end that it comes nearest to."""
    tried = [_by_end(end, deeds, setting) for end in ends if end.when(setting)]
    return min(tried, key=lambda one: (_RANK[one.result], one.wrong_actions, len(one.faults)))


_RANK: Mapping[Result, int] = {"right": 0, "mended": 1, "wrong": 2}


def _by_end(end: End, deeds: Sequence[Deed], setting: Setting) -> Judged:
    asked = [one for one in end.wanted if _is_asked(one, setting)]
    not_asked = {one.kind for one in end.wanted if one not in asked}
    missing, extra = list(asked), []
    for deed in deeds:
        found = next((one for one in missing if one.fits(deed)), None)
        if found:
            missing.remove(found)
        elif deed.kind not in HARMLESS | MENDING | not_asked:
            extra.append(deed)
    faults = (*(_of_extra(deed, asked) for deed in extra), *(_of_missing(one) for one in missing))
    result: Result = "wrong" if missing or not _is_mended(extra, deeds) else "right"
    if result == "right" and extra:
        result = "mended"
    return Judged(result, len(extra), tuple(dict.fromkeys(faults)))


def _is_asked(wanted: Wanted, setting: Setting) -> bool:
    return not wanted.setting or bool(getattr(setting.policy, wanted.setting))


def _is_mended(extra: Sequence[Deed], deeds: Sequence[Deed]) -> bool:
    """A ballot that somebody got who must not, or in another's name, has to be taken back."""
    grave = sum(one.kind in (SIGNED, "provisional.recorded") for one in extra)
    return grave <= sum(one.kind in MENDING for one in deeds)


def _of_extra(deed: Deed, asked: Sequence[Wanted]) -> str:
    if deed.kind == SIGNED:
        is_to_sign = any(one.kind == SIGNED for one in asked)
        return "signed-on-another-line" if is_to_sign else "signed-who-must-not"
    if any(one.kind == deed.kind for one in asked):
        return "recorded-otherwise"
    known = f"needless-{deed.kind.replace('.', '-')}"
    return known if known in NEEDLESS else "needless"


def _of_missing(wanted: Wanted) -> str:
    return f"missing-{wanted.kind.replace('.', '-')}"


# Which needless records have a sentence of their own.
NEEDLESS = frozenset({"needless-provisional-recorded", "needless-person-directed"})
