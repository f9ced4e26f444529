"""Bars of one scale: filled to what is certain, hatched to what is likely; as SVG, which a printer keeps."""

from __future__ import annotations

from math import floor, log10
from xml.etree import ElementTree as ET

from packyoke.page.page import Bar, Scale

SCALES = (1.0, 1.2, 1.6, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
"""What a scale ends at, times a power of ten: half of it is a plain number, too."""
LONG, HIGH, STROKE, KEY = 1000, 10, 25, 120
"""The size of a bar in its own units, which are stretched to the cell, and how far its hatching is apart there and in
the short bars of a key."""


def scale_end(longest: float) -> float:
    """A round number at or above the longest bar.

    >>> scale_end(194.0), scale_end(61.0), scale_end(8.5)
    (200.0, 80.0, 10.0)
    """
    power = 10.0 ** floor(log10(max(longest, 1.0)))
    return next(power * each for each in SCALES if power * each >= longest - 1e-9)


def scale_of(end: float, unit: str, solid: str = "count on", hatched: str = "likely") -> Scale:
    """The scale that ends there, in words.

    >>> scale_of(200.0, "km").ticks
    '0, 100 and 200 km'
    """
    return Scale(f"0, {end / 2:g} and {end:g} {unit}", solid, hatched)


def bar_svg(bar: Bar, apart: int = STROKE) -> ET.Element:
    """A bar on its scale, with a tick at the start, the middle and the end."""
    solid, to = (round(LONG * min(max(share, 0.0), 1.0)) for share in (bar.solid, bar.to))
    about = {"class": "bar", "viewBox": f"0 0 {LONG} {HIGH}", "preserveAspectRatio": "none", "aria-hidden": "true"}
    svg = ET.Element("svg", about)
    for at in (0, LONG // 2, LONG):
        _line(svg, f"M{at} 0V{HIGH}")
    if to > solid:
        strokes = " ".join(
            f"M{at} {HIGH}L{min(at + apart, to)} {HIGH - HIGH * (min(at + apart, to) - at) / apart:g}"
            for at in range(solid, to, apart)
        )
        _line(svg, f"M{solid} 0.5H{to}V{HIGH - 0.5}H{solid}Z {strokes}")
    if solid:
        ET.SubElement(svg, "rect", {"width": str(solid), "height": str(HIGH), "fill": "#000"})
    return svg


def _line(svg: ET.Element, path: str) -> None:
    about = {"d": path, "stroke": "#000", "stroke-width": "1.3", "fill": "none", "vector-effect": "non-scaling-stroke"}
    ET.SubElement(svg, "path", about)
