"""Every refusal of the HTTP interface as one JSON body, with the status that says whose turn it is."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exception_handlers import http_exception_handler, request_validation_exception_handler
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from slabwright.errors import Conflict, InputError, SlabwrightError, StoreError, shorten
from slabwright.web.api.models import ErrorBody
from slabwright.web.project_folder import ProjectFolder

__all__ = ["ALWAYS", "NotHere", "errors", "install_handlers"]

LONGEST_PART = 5000
Handler = Callable[[Request, Any], Awaitable[Response]]

MEANINGS = {
    400: "The body is not what its content type says.",
    401: "Sign in first (only where a password is set).",
    403: "The request came from a page of another site, or by a name that this workspace does not answer to.",
    404: "The address names something that does not exist.",
    405: "The address does not take this method.",
    409: "Somebody else changed what this was based on, or it exists already; nothing was changed.",
    413: "The body is too large.",
    422: "What was given cannot be read, lies outside its bounds, or a fact is missing; nothing was changed.",
    429: "Too many wrong passwords; wait as long as Retry-After says.",
    503: "The project file cannot be read or written.",
}
ALWAYS = (400, 401, 403, 413, 422, 429)
Responses = dict[int | str, dict[str, Any]]


def errors(*statuses: int) -> Responses:
    """The refusals that an endpoint is described with."""
    return {status: {"model": ErrorBody, "description": MEANINGS[status]} for status in statuses}


class NotHere(InputError):
    """What the address names does not exist."""


def install_handlers(app: FastAPI, office: ProjectFolder) -> None:
    """Answer refusals under ``/api`` with the documented body; other addresses keep the handlers they had."""

    async def refused(request: Request, refusal: SlabwrightError) -> Response:
        return _body(_status(request, refusal, office), refusal, office.folder)

    async def invalid(_request: Request, problem: RequestValidationError) -> Response:
        return _body(422, _first_mistake(problem), office.folder)

    async def by_status(_request: Request, problem: HTTPException) -> Response:
        what = MEANINGS.get(problem.status_code, str(problem.detail)).rstrip(".")
        return _body(problem.status_code, SlabwrightError(what), office.folder, dict(problem.headers or {}))

    _for_interface(app, SlabwrightError, refused, None)
    _for_interface(app, RequestValidationError, invalid, request_validation_exception_handler)
    _for_interface(app, HTTPException, by_status, http_exception_handler)
    for status in (404, 405, 413):
        if status in app.exception_handlers:  # a handler by number goes before one by kind
            _for_interface(app, status, by_status, None)


def _for_interface(app: FastAPI, key: Any, handler: Handler, otherwise: Handler | None) -> None:
    before: Any = app.exception_handlers.get(key, otherwise)

    async def chosen(request: Request, problem: Any) -> Response:
        if before is None or request.url.path.startswith("/api/"):
            return await handler(request, problem)
        response: Response = await before(request, problem)
        return response

    app.add_exception_handler(key, chosen)


def _status(request: Request, refusal: SlabwrightError, office: ProjectFolder) -> int:
    if isinstance(refusal, NotHere):
        return 404
    if isinstance(refusal, Conflict):
        return 409
    if isinstance(refusal, StoreError):
        road = request.path_params.get("road")
        return 404 if road is not None and not office.holds(road) else 503
    return 422


def _first_mistake(problem: RequestValidationError) -> InputError:
    first, *rest = problem.errors()
    more = f" There are {len(rest)} more such mistakes." if rest else ""
    return InputError(
        "this part of the request cannot be used",
        where=".".join(str(part) for part in first["loc"])[:200],
        given=_given(first.get("input")),
        allowed=str(first["msg"]),
        remedy=f"Compare it with the description at /openapi.json.{more}",
    )


def _given(value: object) -> str | None:
    return value if isinstance(value, str) else None if value is None or value == {} else str(value)[:200]


def _body(status: int, refusal: SlabwrightError, folder: Path, headers: dict[str, str] | None = None) -> JSONResponse:
    given = refusal.given
    parts = {
        "what": refusal.what,
        "where": refusal.where,
        "given": None if given is None else shorten(given).strip("'"),
        "allowed": refusal.allowed,
        "source": refusal.source,
        "remedy": refusal.remedy,
        "message": str(refusal),
    }
    said = {key: None if text is None else _sayable(text, folder) for key, text in parts.items()}
    return JSONResponse({"error": said}, status, headers)


def _sayable(text: str, folder: Path) -> str:
    """Without halves of surrogate pairs, which cannot be sent, and without where the server keeps its files."""
    near = text.replace(f"{folder}/", "").replace(f"{folder}\\", "")
    return near[:LONGEST_PART].encode("utf-8", "replace").decode()
