"""What makes a problem document complete."""

import json
from typing import Any

import httpx


def problem_in(response: httpx.Response, status: int) -> dict[str, Any]:
    """Return the problem in `response` after seeing that nothing is missing from it."""
    assert response.status_code == status, response.text
    assert response.headers["content-type"] == "application/problem+json"
    problem = json.loads(response.content)
    assert list(problem) == ["type", "title", "status", "detail", "errors"]
    assert problem["type"].startswith("/problems/")
    assert problem["status"] == status
    assert problem["title"]
    assert problem["detail"]
    for fault in problem["errors"]:
        assert list(fault) == ["pointer", "message"]
        assert fault["message"]
        assert fault["pointer"] == "" or fault["pointer"].startswith("/")
    return problem
