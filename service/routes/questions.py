"""The routes of every question that is asked with a body and kept nowhere, made from their table.

What a question is, is `service.questions.question`; how one is answered, `service.http.answering`.
"""

from collections.abc import Awaitable, Callable
from typing import Any

from fastapi import APIRouter, Depends, Request, Response

from service.http.answering import answer
from service.http.openapi import describe_question
from service.http.query_strings import no_query
from service.questions.question import QUESTIONS, Question

router = APIRouter(dependencies=[Depends(no_query)])


def _answering(question: Question[Any]) -> Callable[[Request], Awaitable[Response]]:
    async def respond(request: Request) -> Response:
        return await answer(request, question)

    return respond


for _question in QUESTIONS:
    router.post(
        _question.path,
        operation_id=_question.operation_id,
        summary=_question.summary,
        description=_question.description,
        tags=[_question.tag],
        **describe_question(_question),
    )(_answering(_question))
