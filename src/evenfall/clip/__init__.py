"""Films opened with the exact time of every picture, and of every sound."""

from evenfall.clip.model import CaptureHint, Clip
from evenfall.clip.opening import Progress, open_clip
from evenfall.clip.pictures import Picture, grey_pictures, made_ahead, pictures, shown_size
from evenfall.clip.sound import Sound, read_sound

__all__ = [
    "CaptureHint",
    "Clip",
    "Picture",
    "Progress",
    "Sound",
    "grey_pictures",
    "made_ahead",
    "open_clip",
    "pictures",
    "read_sound",
    "shown_size",
]
