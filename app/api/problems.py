"""Every problem the API can answer with: one table of codes, one shape (RFC 9457).

A problem is `application/problem+json` with `type`, `title`, `status`, `detail`,
the stable `code`, `what_to_do` in plain words, and the facts of the case beside
them. Bodies never carry a birth date or a maiden name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from app.api.answers import Clockface
from app.api.answers_lines import verdict_answer
from app.desk.outcomes import Refused
from app.rules.faults import TablebookFault

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True, slots=True)
class Problem:
    status: int
    title: str
    what_to_do: str


_CALL = "Call the registrar. Local law and the registrar decide."
_STOPPED = (
    "Read the reasons and offer what the person may still do. Local law and the registrar decide."
)

PROBLEMS: Mapping[str, Problem] = {
    # refused by the rules
    "already-signed": Problem(409, "The line is signed already", _STOPPED),
    "voted-by-mail": Problem(409, "The line says voted by mail", _STOPPED),
    "voted-early": Problem(409, "The line says voted early", _STOPPED),
    "removed": Problem(409, "The line was removed", _STOPPED),
    "polls-not-open": Problem(409, "The polls are not open", "Wait until the lead opens them."),
    "polls-closed": Problem(409, "The polls are closed", _STOPPED),
    "line-cut-off": Problem(409, "The end of the line was marked", _STOPPED),
    "not-this-line": Problem(
        409, "The birth date is not this line's", "Look for the person's own line."
    ),
    "identification-missing": Problem(409, "Identification is required", _STOPPED),
    "lists-contradict": Problem(409, "The lists contradict each other", _CALL),
    "ballot-unknown": Problem(409, "The ballot is not known", _CALL),
    "moved-within": Problem(409, "The voter has moved inside the county", _STOPPED),
    "moved-outside": Problem(409, "The voter has moved out of the county", _CALL),
    "address-not-affirmed": Problem(409, "The address is not affirmed", _STOPPED),
    "extended-hours": Problem(
        409, "The hours were extended by an order", "Give a provisional ballot, kept apart."
    ),
    "provisional-recorded": Problem(
        409, "A provisional ballot was given on this line", "Ask the lead worker."
    ),
    "already-on-a-line": Problem(
        409,
        "The person is on a line already",
        "Open the line named. If it is somebody else, the lead says so.",
    ),
    "ordinary-ballot-due": Problem(
        409,
        "This voter gets an ordinary ballot",
        "Do the steps named and let the voter sign. A provisional ballot is for who cannot.",
    ),
    "provisional-not-offered": Problem(
        409,
        "A provisional ballot was not offered yet",
        "Offer it. If the person does not want it, say so and send it again.",
    ),
    "not-provided-for": Problem(
        409, "This place's policy does not know that", "Call the registrar."
    ),
    "helper-not-allowed": Problem(
        409,
        "Neither the voter's employer nor their union may help",
        "The voter chooses somebody else, or two workers help.",
    ),
    "envelope-used": Problem(
        409, "That envelope number is used already", "Read the number on the envelope again."
    ),
    "step-missing": Problem(409, "Something comes first", "Do the steps named, then sign."),
    # late lists and calls
    "list-unreadable": Problem(
        422,
        "The file cannot be read as a list",
        "Read what is wrong with it. Ask its office for the file again, or key it from paper.",
    ),
    "list-applied-already": Problem(
        409,
        "This list was applied already: nothing was changed",
        "Nothing needs to be done. Open the list to see what it did.",
    ),
    "list-dropped": Problem(409, "This list was put aside", "Bring it again if it is needed."),
    "list-finished": Problem(
        409, "This list is finished", "Start another list for what is still to be keyed."
    ),
    "keyed-already": Problem(
        409,
        "This line was keyed on this list already",
        "Go on to the next row. If the paper really has it twice, say so.",
    ),
    "line-in-use": Problem(
        409,
        "The line that this row added is in use: signed, marked, or meant by another row",
        "The row stays. What stands on the line, or the other row, is taken back first.",
    ),
    "totals-differ": Problem(
        409,
        "The count is not the printed total",
        "Compare the rows with the paper, or let the lead say why they differ.",
    ),
    "paper-begun-already": Problem(
        409,
        "The table is on paper already",
        "Key what was signed on paper and finish; then another time on paper can begin.",
    ),
    "paper-newer": Problem(
        409,
        "The printed register shows entries that this record does not have",
        "Read the entry on the printed register again. If it is right, this record lost what the "
        "paper shows: say so, and key those signatures too.",
    ),
    "paper-time-wrong": Problem(
        409,
        "Nobody can have signed at that time",
        "Read the time on the paper again. If it really stands there, leave the time blank and "
        "tell the lead.",
    ),
    "no-paper-hour": Problem(
        409, "The table is not on paper", "Let the lead say from when it was on paper."
    ),
    "paper-does-not-agree": Problem(
        409,
        "The rows are not those on the paper",
        "Compare the rows with the paper, page by page. If they cannot be made to agree, the lead "
        "says why.",
    ),
    "nothing-to-settle": Problem(
        409, "Nothing waits to be settled here", "Load it again: it has changed."
    ),
    "row-cannot-be-added": Problem(
        409,
        "This row cannot be added as it is",
        "Leave it off with the reason, or call the registrar.",
    ),
    "read-back-differs": Problem(
        422,
        "What was read back is not what is on the line",
        "Nothing was changed. Open the right line and read number, name and birth year again.",
    ),
    "code-missing": Problem(
        409, "A spoken code is required here", "Ask the registrar's office for the code."
    ),
    "code-unreadable": Problem(
        409, "That is no code", "Ask for the eight letters and digits again."
    ),
    "code-misheard": Problem(
        409, "One of the letters was misheard", "Ask for the code again, letter by letter."
    ),
    "code-wrong": Problem(
        409,
        "The code does not belong to this change",
        "Change nothing. Compare voter and change with the office; if in doubt, call it back.",
    ),
    "code-used-already": Problem(
        409, "This code was used before", "Ask the office for a new code."
    ),
    "code-locked": Problem(
        423,
        "Too many wrong codes",
        "Call the registrar's office back at a number you know, then unlock the codes.",
    ),
    # the opening and the close
    "opening-not-ready": Problem(
        409,
        "Not every required check of the opening is made",
        "Make the checks named. If the polls must open without them, write why.",
    ),
    "reading-doubtful": Problem(
        409,
        "This reading cannot be right beside what stands",
        "Nothing was recorded. Read the counter again; if it stands so, write what happened.",
    ),
    "counted-already": Problem(
        409,
        "This was read or counted already",
        "If the earlier number was wrong, let the new one replace it and write why.",
    ),
    "seal-doubtful": Problem(
        409,
        "This seal cannot be right beside what stands",
        "Nothing was recorded. Read the number again; if it stands so, write what happened.",
    ),
    "does-not-balance": Problem(
        409,
        "The counts do not agree",
        "Look at the causes named, the likeliest first. If none is it, write that down and close.",
    ),
    # nothing there to do
    "nothing-to-withdraw": Problem(
        409, "Nothing of the kind stands there", "Load the line again: it has changed."
    ),
    "witness-missing": Problem(
        422,
        "A witness is missing",
        "Write the name of whoever saw the voter make the mark, and let them sign beside it.",
    ),
    "witness-is-voter": Problem(
        409,
        "The witness has the voter's own name",
        "Ask somebody else to be the witness. A namesake writes Jr, Sr or the middle name.",
    ),
    "nothing-to-record": Problem(
        409, "Nothing is to be recorded here", "Load the line again: it has changed."
    ),
    "turn-out-of-order": Problem(
        409, "That is not the day's next turn", "Load the day again: it has moved on."
    ),
    "already-loaded": Problem(409, "A day is loaded already", "Use another database."),
    "already-there": Problem(409, "It is there already", "Choose another."),
    # who asks
    "not-signed-on": Problem(401, "Nobody is signed on here", "Sign on with initials and PIN."),
    "wrong-pin": Problem(401, "Initials and PIN do not fit", "Try again, or ask the lead."),
    "pin-locked": Problem(423, "Too many wrong PINs", "Ask the lead to unlock these initials."),
    "pin-wait": Problem(
        429, "Too many wrong PINs in a row", "Wait as long as is said, then type it slowly."
    ),
    "covered": Problem(423, "The page lies covered", "Type the PIN to go on."),
    "not-joined": Problem(
        401,
        "This browser is no station here",
        "Open the page of the address and type the code from the lead's screen.",
    ),
    "join-code-wrong": Problem(
        403,
        "The code does not let a station in",
        "Read the code on the lead's screen again. It is good for two minutes and one browser; "
        "the lead makes a new one.",
    ),
    "too-many": Problem(429, "Too much was asked in a short time", "Wait a minute and go on."),
    "cannot-listen": Problem(
        503, "The address cannot be served", "Read the message where the server was started."
    ),
    "not-allowed": Problem(403, "Not for this role", "Ask the lead worker."),
    "wrong-origin": Problem(
        403, "Not from Tablebook's own page", "Use the page this server serves."
    ),
    "wrong-host": Problem(421, "Not this server's name", "Use the address shown at the start."),
    # what was sent
    "token-missing": Problem(
        400, "The Idempotency-Key is missing or malformed", "Send 16 to 64 of A-Z a-z 0-9 _ -."
    ),
    "token-reused": Problem(
        422, "The key was used for something else", "Send a fresh Idempotency-Key."
    ),
    "bad-request": Problem(422, "That cannot be read", "Correct what is named and send it again."),
    "birth-date-unreadable": Problem(
        422, "The birth date cannot be read", "Type it like 3/4/1987 or 4 Mar 1987."
    ),
    "not-json": Problem(415, "JSON is expected", "Send Content-Type: application/json."),
    "too-large": Problem(
        413, "Too much was sent", "Send less: signatures need under 64 kB, lists under 2 MB."
    ),
    "not-found": Problem(
        404, "There is nothing here", "Check the address, or find the line again."
    ),
    "method-not-allowed": Problem(405, "Not that way", "Use the method the documentation names."),
    # the server itself
    "day-not-loaded": Problem(503, "No day is loaded", "Run: tablebook load PACKAGE."),
    "disk-nearly-full": Problem(
        507,
        "The disk is nearly full: no long list is taken now",
        "Nothing was changed; signing and short lists go on. Remove or move files that do not "
        "belong here, never the record, or key the list from paper.",
    ),
    "hand-over-failed": Problem(
        503,
        "The bundle could not be written",
        "Make room on the disk and try again. Nothing is lost: the record stands, and a bundle "
        "that was made before stands too.",
    ),
    "storage-refused": Problem(
        503, "The storage cannot be trusted", "Use the paper register; read the server's message."
    ),
    "copy-refused": Problem(
        503, "That is no place for a copy", "Name another folder, best on a stick."
    ),
    "record-behind-carbon": Problem(
        503,
        "The record is older than its carbon",
        "Keep both and use the paper register. Then run: tablebook recover --carbon FILE.",
    ),
    "cannot-follow": Problem(
        503, "There is no laptop to follow", "Look at the first laptop and type its code again."
    ),
    "read-only-standby": Problem(
        503,
        "This laptop follows another one",
        "Work at the other laptop. If it is gone, the lead takes over here.",
    ),
    "no-standby": Problem(
        409,
        "This laptop follows nobody",
        "Nothing is to be taken over: work here. If another laptop has the record, work there.",
    ),
    "newer-record-elsewhere": Problem(
        503,
        "Another laptop has taken over",
        "Record nothing here. Work at the other laptop; keep this one for the registrar.",
    ),
    "outcome-unknown": Problem(
        503,
        "Neither recorded nor refused",
        "The disk failed. Ask again with the same key; use the paper register meanwhile.",
    ),
    "unexpected": Problem(
        500, "Something went wrong here", "Nothing is acknowledged. Ask again with the same key."
    ),
}


def problem(code: str, facts: Mapping[str, Any] | None = None, detail: str = "") -> JSONResponse:
    """The response for `code`; KeyError for a code that is not in the table."""
    known = PROBLEMS[code]
    body = {
        **(facts or {}),
        "type": f"urn:tablebook:problem:{code}",
        "title": known.title,
        "status": known.status,
        "detail": detail or known.title,
        "code": code,
        "what_to_do": known.what_to_do,
    }
    return JSONResponse(body, known.status, media_type=MEDIA_TYPE)


class RefusedByRules(Exception):
    """Carries a `Refused` value from a route to the one place that answers it."""

    def __init__(self, refused: Refused) -> None:
        super().__init__(refused.code)
        self.refused = refused


def install(app: FastAPI) -> None:
    """Answer every fault, refusal and mishap of `app` with a problem."""

    @app.exception_handler(RefusedByRules)
    async def _refusal(request: Request, error: RefusedByRules) -> JSONResponse:
        state = request.app.state
        return _refused(error.refused, state.caution, state.clockface)

    @app.exception_handler(TablebookFault)
    async def _fault(_: Request, error: TablebookFault) -> JSONResponse:
        return problem(error.code, error.facts)

    @app.exception_handler(RequestValidationError)
    async def _invalid(_: Request, error: RequestValidationError) -> JSONResponse:
        return problem("bad-request", {"faults": [_where_and_what(f) for f in error.errors()]})

    @app.exception_handler(HTTPException)
    async def _http(_: Request, error: HTTPException) -> JSONResponse:
        return problem(_HTTP_CODES.get(error.status_code, "bad-request"))

    @app.exception_handler(Exception)
    async def _last_resort(_request: Request, _error: Exception) -> JSONResponse:
        return problem("unexpected")


_HTTP_CODES = {404: "not-found", 405: "method-not-allowed"}


def _refused(refused: Refused, caution: str, clockface: Clockface) -> JSONResponse:
    facts: dict[str, Any] = dict(refused.facts)
    if "at" in facts and "local_time" not in facts:
        facts["local_time"] = clockface(str(facts["at"]))
    if refused.verdict is None:
        return problem(refused.code, facts)
    facts["verdict"] = verdict_answer(refused.verdict, caution).model_dump()
    said = refused.verdict.reasons or refused.verdict.steps
    return problem(refused.code, facts, said[0].sentence if said else "")


def _where_and_what(fault: Mapping[str, Any]) -> dict[str, str]:
    """Without the value itself: it may be a birth date."""
    return {"where": ".".join(map(str, fault["loc"])), "what": fault["msg"]}
