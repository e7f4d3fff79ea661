"""What is printed at the table."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Response
from starlette.concurrency import run_in_threadpool

from app.api.access import Acting, ActingAsLead, OpenRoster
from app.desk.proof_printing import print_proof
from app.desk.slips import slip
from app.papers.words import Language

router = APIRouter()

ListId = Annotated[str, Path(min_length=1, max_length=64)]


@router.get("/api/papers/slip-{seq}.pdf")
async def read_slip(
    seq: int, actor: Acting, is_lead: ActingAsLead, roster: OpenRoster, language: Language = "en"
) -> Response:
    """The slip that goes with an entry, by the entry's number: no name stands in the path.

    A worker prints again what their own station recorded; the lead anything.
    """
    only_of = None if is_lead else actor.station
    pages = await run_in_threadpool(slip, roster, seq, language, only_of)
    return Response(pages, media_type="application/pdf")


@router.get("/api/papers/list-{list_id}.pdf")
async def read_list_proof(
    list_id: ListId, roster: OpenRoster, language: Language = "en"
) -> Response:
    """The proof of a list on paper, finished or not, for the lead to sign."""
    pages = await run_in_threadpool(print_proof, roster, list_id, language)
    return Response(pages, media_type="application/pdf")
