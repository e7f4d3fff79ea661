"""What the lead can do with a list that arrives late and with a call of the registrar's office."""

from __future__ import annotations

import base64
import csv
import io
from collections.abc import Callable, Mapping
from typing import Any

from app.rules.phone_change import Binding, Change, ChangeCode
from app.rules.phone_code import phone_code, read_secret
from tests.situations.place import PHONE_SECRET, Place

Said = Mapping[str, Any]
Did = tuple[int, dict[str, Any]]

CALL = {
    "caller": "Clerk on duty",
    "office": "Registrar of Voters",
    "number_called_back": "555-0142",
    "asked": "The clerk gave a change by telephone",
    "confirmed": True,
}
LIST_COLUMNS = ("voter_number", "last_name", "first_name", "birth_date")


def _post(place: Place, step: Said, path: str, body: object) -> Did:
    answer = place.post(place.as_(step.get("by", "lead")), path, body)
    return answer.status_code, answer.json()


def _list(place: Place) -> str:
    return f"/api/late-lists/{place.list_id}"


def bring(place: Place, step: Said) -> Did:
    """A list from a file: each row is somebody's, with what the list has otherwise."""
    rows = [{**_printed_row(place, row.get("of")), **row} for row in step["rows"]]
    body = {
        "kind": step["kind"].replace(" ", "_"),
        "name": step["name"],
        "content_base64": base64.b64encode(_csv(rows)).decode(),
    }
    return _with_list(place, _post(place, step, "/api/late-lists", body))


def bring_and_apply(place: Place, step: Said) -> Did:
    """The same, applied at once, as when the preview held no surprise."""
    status, answer = bring(place, step)
    return apply(place, step) if status == 200 else (status, answer)


def apply(place: Place, step: Said) -> Did:
    return _post(place, step, f"{_list(place)}/apply", {})


def begin_on_paper(place: Place, step: Said) -> Did:
    body = {"form": "paper", "kind": step["kind"].replace(" ", "_"), "name": step["name"]}
    body["printed_total"] = step["total"]
    return _with_list(place, _post(place, step, "/api/late-lists", body))


def key(place: Place, step: Said) -> Did:
    body = {"line_id": place.ids[step["on"]], "twice": step.get("twice", False)}
    return _post(place, {"by": "worker", **step}, f"{_list(place)}/keyed", body)


def key_nobody(place: Place, step: Said) -> Did:
    body = {"name": step["typed"]}
    return _post(place, {"by": "worker", **step}, f"{_list(place)}/not-found", body)


def finish(place: Place, step: Said) -> Did:
    return _post(place, step, f"{_list(place)}/finish", {"reason": step.get("reason", "")})


def settle_row(place: Place, step: Said) -> Did:
    said = {name: step[name] for name in ("refuse", "add") if name in step}
    body = {"line_id": place.ids[step["means"]]} if "means" in step else said
    return _post(place, step, f"{_list(place)}/rows/{step['row']}/settle", body)


def settle_gone(place: Place, step: Said) -> Did:
    body = {"withdraw": step["withdraw"], "reason": step["reason"]}
    return _post(place, step, f"{_list(place)}/gone/{place.ids[step['on']]}/settle", body)


def phone(place: Place, step: Said) -> Did:
    """A call, with the voter read back as printed unless `reads` says otherwise."""
    body: dict[str, Any] = {**CALL, **step.get("writes", {}), "line_id": None}
    body["change"] = {"what": step["what"], "argument": step.get("argument", "")}
    if "on" in step:
        body["line_id"] = place.ids[step["on"]]
        body["read_back"] = {**_read_back(place, step["on"]), **step.get("reads", {})}
    if "code" in step:
        body["code"] = _said_code(place, step)
    status, answer = _post(place, step, "/api/phone-ins", body)
    if status == 200:
        place.ids["call"] = str(answer["phone_in"]["seq"])
    return status, answer


def call_back(place: Place, step: Said) -> Did:
    body = {"number_called_back": CALL["number_called_back"], "reason": step["reason"]}
    return _post(place, step, "/api/phone-ins/unlock", body)


def settle_irregularity(place: Place, step: Said) -> Did:
    """The oldest one that is open."""
    found = place.as_("lead").get("/api/irregularities").json()["irregularities"]
    path = f"/api/irregularities/{found[0]['seq']}/settle"
    return _post(place, step, path, {"how": step["reason"]})


def _with_list(place: Place, did: Did) -> Did:
    if did[0] == 200:
        place.list_id = did[1]["list"]["list_id"]
    return did


def _printed_row(place: Place, who: str | None) -> dict[str, Any]:
    printed = place.printed.get(who) if who else None
    return {name: getattr(printed, name, "") for name in LIST_COLUMNS}


def _csv(rows: list[dict[str, Any]]) -> bytes:
    columns = dict.fromkeys((*LIST_COLUMNS, *(name for row in rows for name in row)))
    columns.pop("of", None)
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, list(columns), restval="", extrasaction="ignore")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def _read_back(place: Place, who: str) -> dict[str, Any]:
    printed = place.printed[who]
    return {
        "voter_number": printed.voter_number,
        "name": f"{printed.first_name} {printed.last_name}",
        "birth_year": printed.birth_date.year,
    }


def _said_code(place: Place, step: Said) -> str:
    """The code that the office reads out: its own for this change, or what the step says of it."""
    said = step["code"]
    if said == "the same again":
        return place.last_code
    what = ChangeCode("restore" if said == "for another change" else step["what"])
    argument = "" if said == "for another change" else step.get("argument", "")
    number = place.printed[step["on"]].voter_number if "on" in step else ""
    binding = Binding("tern-2027-03-02", "4-07", number, Change(what, argument))
    code = phone_code(read_secret(PHONE_SECRET), binding, step.get("counter", 1))
    place.last_code = code
    if said == "misheard":
        return ("0" if code[0] != "0" else "1") + code[1:]
    return code


LATE_ACTS: Mapping[str, Callable[[Place, Said], Did]] = {
    "bring list": bring,
    "apply list": apply,
    "bring and apply list": bring_and_apply,
    "begin list on paper": begin_on_paper,
    "key": key,
    "key somebody on no line": key_nobody,
    "finish list": finish,
    "settle row": settle_row,
    "settle gone": settle_gone,
    "phone": phone,
    "call back": call_back,
    "settle irregularity": settle_irregularity,
}
