"""What a route is given: the barn, and who asks."""

from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData

from evenfall.store import Barn

__all__ = ["THIS_COMPUTER", "BarnOf", "DeviceName", "Sent", "barn_of", "device_name", "sent"]

THIS_COMPUTER = "this computer"
"""The owner's name among the devices: whoever sits at the machine itself."""


def barn_of(request: Request) -> Barn:
    """The barn that is open."""
    barn: Barn = request.app.state.barn
    return barn


def device_name(request: Request) -> str:
    """The name of the device that asks; `security` has seen to it that it may."""
    return getattr(request.state, "device", THIS_COMPUTER)


async def sent(request: Request) -> FormData:
    """The form as it was sent, read before the route begins, so that the route itself may wait for the record."""
    return await request.form()


BarnOf = Annotated[Barn, Depends(barn_of)]
DeviceName = Annotated[str, Depends(device_name)]
Sent = Annotated[FormData, Depends(sent)]
