"""What goes wrong, as a page: the same titles, sentences and statuses as the API's problem documents."""

from __future__ import annotations

from flask import Flask, Response, current_app, g, request
from werkzeug.exceptions import Forbidden, HTTPException, MethodNotAllowed, NotFound

from service.api.errors import any_problem, http_problem
from service.api.problems import Problem
from service.pages.blueprint import dressed, routes
from service.pages.rendering import page


@routes.errorhandler(Problem)
def of_problem(problem: Problem) -> Response:
    """A problem as a page, with its faults in words."""
    answer = _told(problem.kind.title, problem.detail, problem.status, problem.errors)
    answer.headers.update(problem.headers)
    return answer


@routes.errorhandler(HTTPException)
def of_http(error: HTTPException) -> Response:
    """An error of the framework as a page."""
    if isinstance(error, Forbidden):
        return _told("This is not allowed", error.description or "", 403)
    return of_problem(http_problem(error))


@routes.errorhandler(Exception)
def of_any(error: Exception) -> Response:
    """Anything else as a page; what is unexpected is logged whole and nothing of it is shown."""
    return of_problem(any_problem(error))


def _told(title: str, detail: str, status: int, faults: object = ()) -> Response:
    return page("problem.html", status, title=title, detail=detail, status_code=status, faults=faults, id=g.request_id)


def tell_people(app: Flask) -> None:
    """Answer what does not exist, or is asked for in a wrong way, with a page too,
    where it is a person who asks and not for the API.

    Flask asks the application's handler of a single status before a blueprint's of all, hence this one for both.
    """

    def lost(error: HTTPException) -> Response:
        by_person = "text/html" in request.headers.get("Accept", "") and not request.path.startswith("/v1/")
        if by_person or routes.name in request.blueprints:
            return dressed(of_http(error))
        handler = current_app.error_handler_spec[None][None][HTTPException]
        answer = handler(error)
        assert isinstance(answer, Response)
        return answer

    app.register_error_handler(NotFound, lost)
    app.register_error_handler(MethodNotAllowed, lost)
