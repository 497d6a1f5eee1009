"""The HTTP interface under ``/api``: the same job as the commands and the pages, described at ``/openapi.json``.

Every refusal has the body of ``ErrorBody``. Every edit names the head that it was based on, and is refused with
status 409 when the project has moved on since. The endpoints are in the files beside this one, by subject.
"""

from __future__ import annotations

from fastapi import APIRouter, FastAPI, Request
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException

from slabwright.web.access.asked import Scope
from slabwright.web.access.guard import Receive, Send, limited
from slabwright.web.api.calculations import add_calculations
from slabwright.web.api.documents import add_documents
from slabwright.web.api.edits import add_edits
from slabwright.web.api.errors import ALWAYS, NotHere, errors, install_handlers
from slabwright.web.api.files import LARGEST_FORM, add_files
from slabwright.web.api.results import add_results
from slabwright.web.api.roads import add_roads
from slabwright.web.api.stages import add_stages
from slabwright.web.project_folder import ProjectFolder

__all__ = ["api", "install"]

LARGEST_BODY = 2**20
METHODS = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"]


def install(app: FastAPI, office: ProjectFolder) -> None:
    """Add the interface to an application, with the handlers that turn refusals into answers."""
    app.include_router(api(office))
    install_handlers(app, office)


def api(office: ProjectFolder) -> APIRouter:
    """The routes over the roads of an office."""
    router = APIRouter(prefix="/api", responses=errors(*ALWAYS), route_class=LimitedRoute)
    add_calculations(router)
    add_stages(router)
    add_roads(router, office)
    add_files(router, office)
    add_edits(router, office)
    add_results(router, office)
    add_documents(router, office)
    _add_end(router)
    return router


class LimitedRoute(APIRoute):
    """A route that reads no more than it can use."""

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        limit = LARGEST_FORM if self.path.endswith("/files") else LARGEST_BODY
        await limited(super().handle, scope, receive, send, limit)


def _add_end(router: APIRouter) -> None:
    """What no route takes is answered here: the pages, mounted behind, would answer with a page."""
    known = [route for route in router.routes if isinstance(route, APIRoute)]

    @router.api_route("/{rest:path}", methods=METHODS, include_in_schema=False)
    def nothing(request: Request, rest: str) -> None:
        methods = {m for route in known if route.path_regex.match(request.url.path) for m in route.methods or ()}
        if methods:
            raise HTTPException(405, headers={"Allow": ", ".join(sorted(methods))})
        raise NotHere("the interface has no such address", given=rest, allowed="see /openapi.json")
