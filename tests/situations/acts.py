"""What a worker can do in a situation: each word of `do`, as requests to the API."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tests.situations.late_acts import LATE_ACTS
from tests.situations.place import Place

Said = Mapping[str, Any]
Did = tuple[int, dict[str, Any]]

AFFIDAVIT = {
    "last_name": "Nettlefold",
    "first_name": "Ambrose",
    "birth_date": "11/2/1974",
    "street_address": "8 Ropewalk Lane",
    "city": "Ternhaven",
    "ballot_button": 1,
    "authorised_by": "Clerk on duty",
    "authorised_how": "phone",
}
ENVELOPE = {
    "name": "Ambrose Nettlefold",
    "street_address": "8 Ropewalk Lane",
    "ballot_button": 1,
    "envelope": "P-0001",
    "affirmed": True,
}
HELPER = {"wanted": True, "helper_name": "Ottilie Crane", "how": "paper", "helper_is": "other"}


def do(place: Place, step: Said) -> Did:
    """Do what one step of a situation says; answers the status and the body."""
    return ACTS[step["act"]](place, step)


def _line(place: Place, step: Said) -> str:
    return f"/api/lines/{place.ids[step['on']]}"


def _post(place: Place, step: Said, path: str, body: object, role: str) -> Did:
    answer = place.post(place.as_(step.get("by", role)), path, body)
    return answer.status_code, answer.json()


def _find(place: Place, step: Said) -> Did:
    status, body = _post(place, step, "/api/find", {"text": step["typed"]}, "worker")
    names = {line_id: who for who, line_id in place.ids.items()}
    found = [names.get(match["line_id"], "?") for match in body["matches"]]
    return status, {**body, "found": found}


def _look(place: Place, step: Said) -> Did:
    answer = place.as_(step.get("by", "worker")).get(_line(place, step))
    return answer.status_code, answer.json()


def _check(place: Place, step: Said) -> Did:
    body = {"evidence": step.get("evidence", {})}
    return _post(place, step, f"{_line(place, step)}/check", body, "worker")


def _sign(place: Place, step: Said) -> Did:
    body: dict[str, Any] = {"how": "paper", "evidence": step.get("evidence", {})}
    if "witness" in step:
        witness = {"name": step["witness"], "how": "paper"}
        body |= {"how": "mark", "mark": "paper", "witness": witness}
    return _post(place, step, f"{_line(place, step)}/signature", body, "worker")


def _withdraw(place: Place, step: Said) -> Did:
    body = {"reason": step["reason"], "why": step.get("why", "other")}
    return _post(place, step, f"{_line(place, step)}/signature/withdraw", body, "lead")


def _move(place: Place, step: Said) -> Did:
    body = {
        "to_line_id": place.ids[step["to"]],
        "reason": step["reason"],
        "evidence": step.get("evidence", {}),
    }
    return _post(place, step, f"{_line(place, step)}/signature/move", body, "lead")


def _left(place: Place, step: Said) -> Did:
    return _post(place, step, f"{_line(place, step)}/left", {"reason": step["reason"]}, "lead")


def _returned(place: Place, step: Said) -> Did:
    body = {"reason": step["reason"]}
    return _post(place, step, f"{_line(place, step)}/returned", body, "lead")


def _form(place: Place, step: Said) -> Did:
    return _post(place, step, f"{_line(place, step)}/form-given", {}, "worker")


def _card(place: Place, step: Said) -> Did:
    return _post(place, step, f"{_line(place, step)}/address-confirmation", {}, "worker")


def _help(place: Place, step: Said) -> Did:
    body = {**HELPER, **step.get("writes", {})}
    return _post(place, step, f"{_line(place, step)}/assistance", body, "worker")


def _no_help(place: Place, step: Said) -> Did:
    return _post(place, step, f"{_line(place, step)}/assistance", {"wanted": False}, "worker")


def _ways(place: Place, step: Said) -> Did:
    """Walk the questions with the answers of `says`; each must be one the question takes."""
    situation: dict[str, object] = {}
    asked = []
    left = list(step["says"])
    while True:
        body = {"situation": situation, "typed": step.get("typed", "")}
        status, answer = _post(place, step, "/api/ways-out", body, "worker")
        assert status == 200, answer
        question = answer["question"]
        if question is None:
            break
        assert answer["options"] == []
        asked.append(question["code"])
        assert left, f"nothing to say to {question['code']}"
        assert left[0] in question["answers"], question
        situation[question["field"]] = left.pop(0)
    assert not left, f"nobody asked for {left}"
    place.situation = situation
    return status, {**answer, "asked": asked}


def _elsewhere(place: Place, step: Said) -> Did:
    return _post(place, step, "/api/elsewhere/find", {"text": step["typed"]}, "worker")


def _direct(place: Place, step: Said) -> Did:
    body = {"way": step["way"], **step.get("writes", {})}
    if "on" in step:
        body |= {"line_id": place.ids[step["on"]], "evidence": step.get("evidence", {})}
    else:
        body["situation"] = place.situation
    if "person" in step:
        _, found = _elsewhere(place, {"typed": step["person"]})
        body["elsewhere_id"] = found["people"][0]["elsewhere_id"]
    return _post(place, step, "/api/people-directed", body, "worker")


def _affidavit(place: Place, step: Said) -> Did:
    body = {
        **AFFIDAVIT,
        "how": "paper",
        "evidence": step.get("evidence", {}),
        **step.get("writes", {}),
    }
    if step.get("authorised"):
        body["authorisation_seq"] = int(place.ids["call"])
    status, answer = _post(place, step, "/api/correction-affidavits", body, "worker")
    if status == 200:
        place.ids[step.get("who", "added")] = answer["line_id"]
    return status, answer


def _provisional(place: Place, step: Said) -> Did:
    body = {
        **ENVELOPE,
        "how": "paper",
        "reason": step["for"],
        "evidence": step.get("evidence", {}),
        **step.get("writes", {}),
    }
    if "on" in step:
        body["line_id"] = place.ids[step["on"]]
    else:
        body["situation"] = place.situation
    status, answer = _post(place, step, "/api/provisional-ballots", body, "worker")
    if status == 200:
        place.ids["envelope"] = str(answer["seq"])
    return status, answer


def _withdraw_provisional(place: Place, step: Said) -> Did:
    path = f"/api/provisional-ballots/{place.ids['envelope']}/withdraw"
    return _post(place, step, path, {"reason": step["reason"]}, "lead")


def _turn(path: str) -> Callable[[Place, Said], Did]:
    return lambda place, step: _post(place, step, f"/api/day/{path}", {}, "lead")


def _extend(place: Place, step: Said) -> Did:
    body = {"reference": "Order 27-118", "until": "21:00", **step.get("writes", {})}
    return _post(place, step, "/api/day/extend-hours", body, "lead")


def _take_back(place: Place, step: Said) -> Did:
    body = {"turn": step["turn"], "reason": step["reason"]}
    return _post(place, step, "/api/day/withdraw-turn", body, "lead")


def _read(path: str) -> Callable[[Place, Said], Did]:
    def read(place: Place, step: Said) -> Did:
        answer = place.as_(step.get("by", "lead")).get(path)
        return answer.status_code, answer.json()

    return read


ACTS: Mapping[str, Callable[[Place, Said], Did]] = {
    "find": _find,
    "look": _look,
    "check": _check,
    "sign": _sign,
    "withdraw signature": _withdraw,
    "move signature": _move,
    "left": _left,
    "returned": _returned,
    "give form": _form,
    "confirm address": _card,
    "record helper": _help,
    "no help wanted": _no_help,
    "ask on": _ways,
    "look elsewhere": _elsewhere,
    "direct": _direct,
    "affidavit": _affidavit,
    "provisional ballot": _provisional,
    "withdraw provisional": _withdraw_provisional,
    "open": _turn("open"),
    "cut off": _turn("cut-off"),
    "close": _turn("close"),
    "extend hours": _extend,
    "take back": _take_back,
    "read people directed": _read("/api/people-directed"),
    "read provisional ballots": _read("/api/provisional-ballots"),
    "read helpers": _read("/api/helpers"),
    "read day": _read("/api/day"),
    "read lists": _read("/api/late-lists"),
    "read calls": _read("/api/phone-ins"),
    "read irregularities": _read("/api/irregularities"),
    **LATE_ACTS,
}
