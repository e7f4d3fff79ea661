"""Handing over: exports by name, the certificates, and the sealed bundle of the whole day."""

from __future__ import annotations

import functools
import os
from pathlib import Path
from typing import IO, Literal

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from app.api.access import OpenRoster, Token
from app.api.problems import RefusedByRules
from app.api.requests import Asked
from app.api.routes_day_papers import AskedForm, sent_file, sent_paper
from app.desk.certificates import CERTIFICATES
from app.desk.exports import export
from app.desk.handover import HandedOver, bundle_name, hand_over
from app.desk.outcomes import Refused
from app.papers.made import Form, in_fours
from app.papers.sheets import Size
from app.papers.words import Language
from app.records.clock import to_text
from app.rules.faults import NotFound

router = APIRouter()

_TYPES = {
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
    ".jsonl": "application/jsonl",
}


class HandOverAsked(Asked):
    """How its papers are printed."""

    size: Size = "letter"
    language: Language = "en"


class HandOverAnswer(BaseModel):
    """What was written; the last hash is to be compared with the certificate of the close."""

    name: str
    bytes: int
    sha256: str
    files: int
    first_seq: Literal[1] = 1
    last_seq: int
    last_hash: str
    last_hash_in_fours: str
    made_at: str


@router.get("/api/papers/opening.pdf")
async def read_opening(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    """The certificate of the opening."""
    return await sent_paper(roster, request, CERTIFICATES["opening"], form)


@router.get("/api/papers/closing.pdf")
async def read_closing(roster: OpenRoster, request: Request, form: AskedForm) -> Response:
    """The certificate of the close."""
    return await sent_paper(roster, request, CERTIFICATES["closing"], form)


@router.post("/api/day/hand-over")
async def make_bundle(
    asked: HandOverAsked, _token: Token, roster: OpenRoster, request: Request
) -> HandOverAnswer:
    """Make the bundle. Safe to repeat: it is made anew, and nothing is written into the log."""
    form = Form(asked.size, asked.language)
    folder, now = _folder(request), request.app.state.clock.now()
    made = await run_in_threadpool(hand_over, roster, folder, now, form)
    if isinstance(made, Refused):
        raise RefusedByRules(made)
    return _answer(made)


@router.get("/api/exports/bundle.zip")
async def read_bundle(roster: OpenRoster, request: Request) -> Response:
    """The bundle that was made last; NotFound before there is one."""
    path = _folder(request) / bundle_name(roster.setting)
    file = await run_in_threadpool(_opened, path)
    named = {"Content-Disposition": f'attachment; filename="{path.name}"'}
    return sent_file(file, "application/zip", **named)


@router.get("/api/exports/{name}")
async def read_export(name: str, roster: OpenRoster, request: Request) -> Response:
    """One export, as of now."""
    now = request.app.state.clock.now()
    data = await run_in_threadpool(functools.partial(export, roster, name, now))
    shown = f"practice-{name}" if roster.setting.is_practice else name
    headers = {"Content-Disposition": f'attachment; filename="{shown}"'}
    return Response(data, media_type=_TYPES[Path(name).suffix], headers=headers)


def _opened(path: Path) -> IO[bytes]:
    """The file at its end; a bundle that takes its place meanwhile is not mixed into it."""
    try:
        file = path.open("rb")
    except OSError:
        raise NotFound(what="bundle yet; the lead makes it once the polls are closed") from None
    file.seek(0, os.SEEK_END)
    return file


def _folder(request: Request) -> Path:
    folder: Path = request.app.state.hand_over_folder
    return folder


def _answer(made: HandedOver) -> HandOverAnswer:
    return HandOverAnswer(
        name=made.path.name,
        bytes=made.bytes,
        sha256=made.sha256,
        files=len(made.files),
        last_seq=made.head.seq,
        last_hash=made.head.hash,
        last_hash_in_fours=in_fours(made.head.hash),
        made_at=to_text(made.made_at),
    )
