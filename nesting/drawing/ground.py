"""What a drawing of a hide lies on: its photo, where there is one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hides.hide import Hide, Point
from nesting.drawing.scene import Picture

if TYPE_CHECKING:
    from hides.photo import FlatPicture


def under(photo: FlatPicture | None, hide: Hide, scale: float, shift: Point) -> tuple[Picture, ...]:
    """The photo for a page that shows the hide level, `scale` times as large and then shifted; nothing without one."""
    if photo is None:
        return ()
    from nesting.drawing.photo_under import photo_under  # heavy: only where it is needed

    return (photo_under(photo, hide, scale, shift),)
