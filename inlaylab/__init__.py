"""
inlaylab: depths, glue lines and test cuts of V-bit inlays.

Rooms, from the bench up: ``bench`` (records), ``models`` and ``artwork`` (physics and polygons),
``log`` (the shop's memory), ``fitting`` (statistics), ``figures``, ``panels``.
"""

__version__ = "0.2.0"
