"""Evenfall reads the feet of a gaited saddle horse from a film and says how even the beat is.

Importing this package loads nothing but the version; take what you need from its modules,
``evenfall.clip``, ``evenfall.contacts``, ``evenfall.strides``, ``evenfall.gait`` and ``evenfall.flow``.
"""

__version__ = "0.1.0"
