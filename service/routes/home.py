"""The front door: where a person or a program looks next."""

from fastapi import APIRouter

from models.value import Value

router = APIRouter(tags=["reference"])


class Home(Value):
    """Where to look next."""

    service: str = "formhold"
    openapi: str = "/openapi.json"
    health: str = "/readyz"


@router.get("/", operation_id="getHome", summary="Where to look next")
async def get_home() -> Home:
    """Answer the addresses to begin with."""
    return Home()
