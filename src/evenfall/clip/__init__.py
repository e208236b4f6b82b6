"""Films opened with the exact time of every picture."""

from evenfall.clip.model import CaptureHint, Clip
from evenfall.clip.opening import Progress, open_clip
from evenfall.clip.pictures import Picture, pictures

__all__ = ["CaptureHint", "Clip", "Picture", "Progress", "open_clip", "pictures"]
