"""What is printed at the table."""

from __future__ import annotations

from fastapi import APIRouter, Response
from starlette.concurrency import run_in_threadpool

from app.api.access import OpenRoster
from app.desk.slips import slip
from app.papers.words import Language

router = APIRouter()


@router.get("/api/papers/slip-{seq}.pdf")
async def read_slip(seq: int, roster: OpenRoster, language: Language = "en") -> Response:
    """The slip that goes with an entry, by the entry's number: no name stands in the path."""
    pages = await run_in_threadpool(slip, roster, seq, language)
    return Response(pages, media_type="application/pdf")
