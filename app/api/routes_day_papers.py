"""The papers of the day, as PDF: the register, its supplemental pages, the lists, forms, slips.

A paper is made whole before any of it is sent, in a thread of its own: what goes wrong is a
problem, never half a paper. Up to `IN_MEMORY` it never touches the disk.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import IO, Annotated, Literal

from fastapi import APIRouter, Depends, Path, Request, Response
from fastapi.responses import StreamingResponse
from starlette.concurrency import run_in_threadpool

from app.api.access import OpenRoster
from app.api.problems import RefusedByRules
from app.desk import day_papers
from app.desk.roster import Roster
from app.papers.made import Form
from app.papers.register_pages import RegisterForm, RowSize
from app.papers.sheets import Size
from app.papers.words import Language

router = APIRouter()

# A register of 50,000 lines; of a precinct none is nearly as long. Beyond that a file that has
# no name, and goes with the answer.
IN_MEMORY = 32 * 1024 * 1024
_PIECE = 256 * 1024

RegisterName = Literal["register", "register-now", "supplemental"]
ListName = Literal[
    "affidavits", "affidavit-form", "assistance", "provisional", "irregularities", "log-head"
]


async def asked_form(size: Size = "letter", language: Language = "en") -> Form:
    return Form(size, language)


async def asked_register_form(
    size: Size = "letter",
    language: Language = "en",
    rows: RowSize = "normal",
    identification: bool = True,
) -> RegisterForm:
    return RegisterForm(size, language, rows, identification)


AskedForm = Annotated[Form, Depends(asked_form)]
AskedRegister = Annotated[RegisterForm, Depends(asked_register_form)]


@router.get("/api/papers/register.pdf")
async def read_register(roster: OpenRoster, request: Request, form: AskedRegister) -> Response:
    """As it is printed beforehand."""
    return await _register(roster, request, "register", form)


@router.get("/api/papers/register-now.pdf")
async def read_register_now(roster: OpenRoster, request: Request, form: AskedRegister) -> Response:
    """With everything that stands on it now."""
    return await _register(roster, request, "register-now", form)


@router.get("/api/papers/supplemental.pdf")
async def read_supplemental(roster: OpenRoster, request: Request, form: AskedRegister) -> Response:
    """The people added, as their lines stand now."""
    return await _register(roster, request, "supplemental", form)


@router.get("/api/papers/affidavits.pdf")
async def read_affidavits(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    return await _list(roster, request, "affidavits", form)


@router.get("/api/papers/affidavit-form.pdf")
async def read_affidavit_form(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    """A blank one; RefusedByRules where the policy does not know them."""
    refused = day_papers.why_no_affidavit_form(roster)
    if refused:
        raise RefusedByRules(refused)
    return await _list(roster, request, "affidavit-form", form)


@router.get("/api/papers/assistance.pdf")
async def read_assistance(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    return await _list(roster, request, "assistance", form)


@router.get("/api/papers/provisional.pdf")
async def read_provisional(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    return await _list(roster, request, "provisional", form)


@router.get("/api/papers/irregularities.pdf")
async def read_irregularities(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    return await _list(roster, request, "irregularities", form)


@router.get("/api/papers/log-head.pdf")
async def read_log_head(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    """The hash of the last entry, to be signed and kept with the papers."""
    return await _list(roster, request, "log-head", form)


@router.get("/api/papers/ballot-button-{button}.pdf")
async def read_ballot_button(
    roster: OpenRoster, form: AskedForm, button: Annotated[int, Path(ge=0, le=999)]
) -> Response:
    """For the machine attendant; nothing of the voter is asked for, or known here."""
    pages = await run_in_threadpool(day_papers.ballot_button, roster, button, form)
    return Response(pages, media_type="application/pdf")


async def _register(
    roster: Roster, request: Request, name: RegisterName, form: RegisterForm
) -> Response:
    paper, now = day_papers.REGISTERS[name], request.app.state.clock.now()
    made = await run_in_threadpool(_made, roster, paper, form, now)
    return _sent(made)


async def _list(roster: Roster, request: Request, name: ListName, form: Form) -> Response:
    return await sent_paper(roster, request, day_papers.PAPERS[name], form)


async def sent_paper(
    roster: Roster,
    request: Request,
    paper: Callable[[day_papers.Printing, Form], None],
    form: Form,
) -> Response:
    """The paper, made now."""
    now = request.app.state.clock.now()
    return _sent(await run_in_threadpool(_made, roster, paper, form, now))


def _made(
    roster: Roster,
    paper: Callable[[day_papers.Printing, day_papers.F], None],
    form: day_papers.F,
    now: datetime,
) -> IO[bytes]:
    """The whole paper, ready to be read from its beginning."""
    file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115 (closed when sent)
    try:
        day_papers.write_paper(roster, paper, form, now, file.write)
    except BaseException:
        file.close()
        raise
    return file


def _sent(file: IO[bytes]) -> StreamingResponse:
    return sent_file(file, "application/pdf")


def sent_file(file: IO[bytes], media_type: str, **headers: str) -> StreamingResponse:
    """The file, of which the end was reached, piece by piece; its length is told beforehand.

    It is read in threads and closed when it is sent.
    """
    headers = {"Content-Length": str(file.tell()), **headers}
    file.seek(0)
    return StreamingResponse(_pieces(file), media_type=media_type, headers=headers)


def _pieces(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        while piece := file.read(_PIECE):
            yield piece
