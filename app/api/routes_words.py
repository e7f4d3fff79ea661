"""The words of the page, in parts. Nobody need be signed on: they are nobody's."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Header, Request, Response

from app.api.words import WordsInParts

router = APIRouter()


@router.api_route("/words/{language}/{part}.json", methods=["GET", "HEAD"], include_in_schema=False)
async def read_words(
    language: str,
    part: str,
    request: Request,
    if_none_match: Annotated[str, Header()] = "",
) -> Response:
    """One part of one language; 304 where the browser has it as it is now."""
    words: WordsInParts = request.app.state.words
    found = words.part(language, part)
    headers = {"ETag": found.etag}
    if _has(if_none_match, found.etag):
        return Response(status_code=304, headers=headers)
    return Response(found.content, media_type="application/json", headers=headers)


def _has(if_none_match: str, etag: str) -> bool:
    """Whether the browser named this tag, weak or strong (RFC 9110, 13.1.2)."""
    named = {tag.strip().removeprefix("W/") for tag in if_none_match.split(",")}
    return bool({etag, "*"} & named)
