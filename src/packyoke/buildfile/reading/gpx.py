"""From the text of a GPX file to its track, or to everything that is wrong with it. The only user of expat.

Of GPX only gpx > trk > trkseg > trkpt is read, with lat, lon, ele and time: they are the same in 1.0 and in 1.1, so the
version is not asked for. A file that declares a document type is refused before anything in it is followed: that is
where entities come from, and with them files of other places and texts that grow without end.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime
from xml.parsers import expat

from packyoke.buildfile.reading.slips import mistake
from packyoke.core.findings import Finding, Span, clean
from packyoke.model.track import Track, TrackPoint

MOST_BYTES = 20_000_000
_MOST_LEVELS = 64
MOST_POINTS = 50_000
_MOST_SEGMENTS = 1_000
_MOST_WAY_M = 600_000.0
_MOST_DIGITS = 40
"""Far more than a day's ride has (judgement): what every command answers for in time."""
_MOST_MISTAKES = 20
_MOST_CHARACTERS = 200
_MOST_SHOWN = 2000
"""Some programs write the whole track on one line: a line longer than this goes along with no finding."""
_FARTHEST_M = 200_000.0
_FASTEST_M_S, _GLITCH_M = 50.0, 500.0
"""180 km/h: nothing that this program plans for. Below 500 m it may be the clock, and the way hardly suffers."""
_LOWEST_M, _HIGHEST_M = -500.0, 9_000.0
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_ENCODINGS = {"utf-8", "utf8", "utf-16", "utf-16le", "utf-16be", "iso-8859-1", "us-ascii", "ascii"}
_LINE_END = re.compile("\r\n|\r|\n")
_POINT = ("gpx", "trk", "trkseg", "trkpt")
_SEGMENT, _NAME, _ELEVATION, _TIME = _POINT[:3], ("gpx", "trk", "name"), (*_POINT, "ele"), (*_POINT, "time")
_ROUTE, _PLACE = ("gpx", "rte"), ("gpx", "wpt")
_START = (1, 1)
_Place = tuple[int, int]


class _StopTrack(Exception):
    """Nothing more can be read after the last mistake."""


def load_track(text: bytes | str, file: str) -> Track | list[Finding]:
    """The track in the text of a GPX file, or all mistakes that could be told.

    :param text: content of the file; bytes in UTF-8, UTF-16, ISO-8859-1 or ASCII, as its first line says
    :param file: its name, as it is printed
    """
    reader = _Reader()
    if isinstance(text, str):
        text, reader.encoding = text.encode("utf-8", "replace"), "utf-8"
    if len(text) > MOST_BYTES:
        do = "A day's ride has some megabytes. Is this the right file?"
        return [mistake([], _span([], _START), f"more than {MOST_BYTES // 1_000_000} MB", do)]
    reader.read(text)
    if reader.told:
        lines = _lines(text, reader.encoding)
        spans = [_span(lines, place) for place, *_ in reader.told]
        # Of a file that is no track nothing is shown: it may be anything that somebody's build points at.
        lines = [line if reader.is_track and len(line) <= _MOST_SHOWN else "" for line in lines]
        return [
            mistake(lines, span, message, do, "", path)
            for span, (_, message, do, path) in zip(spans, reader.told, strict=True)
        ]
    return Track(tuple(segment for segment in reader.segments if len(segment) > 1), clean(reader.name.strip()), file)


class _Reader:
    """One file on its way from tags to points; collects what is wrong with it."""

    def __init__(self) -> None:
        self.encoding = ""
        self.is_track = False
        self.told: list[tuple[_Place, str, str, str]] = []
        self.name = ""
        self.segments: list[tuple[TrackPoint, ...]] = []
        self._way: tuple[str, ...] = ()
        self._ways: dict[tuple[tuple[str, ...], str], tuple[str, ...]] = {}
        self._prefix = ""
        self._text: list[str] | None = None
        self._length = self._points = self._levels = 0
        self._way_m = 0.0
        self._segment: list[TrackPoint] = []
        self._at: _Place = _START
        self._value_at: _Place = _START
        self._spot: tuple[float, float] | None = None
        self._elevation_m: float | None = None
        self._time_s: float | None = None
        self._other = ""

    def read(self, data: bytes) -> None:
        parser = self._parser = expat.ParserCreate(self.encoding or None)
        parser.buffer_text = True
        parser.XmlDeclHandler = self._declared
        parser.StartDoctypeDeclHandler = self._document_type
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        try:
            parser.Parse(data, True)
            self._judge()
        except _StopTrack:
            pass
        except (expat.ExpatError, LookupError, ValueError) as error:
            self._broken(data, error)

    # What the parser calls

    def _declared(self, version: str, encoding: str | None, standalone: int) -> None:
        if self.encoding or encoding is None:
            return
        if encoding.lower() not in _ENCODINGS:
            self._stop(_START, f"written in {clean(encoding, 30)}", "Save the file as UTF-8.")
        self.encoding = encoding

    def _document_type(self, name: str, system: str | None, public: str | None, internal: int) -> None:
        do = "GPX has none. Export the track anew, or delete everything from <!DOCTYPE to its end."
        self._stop(self._here(), "a document type (DOCTYPE) is not read", do)

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._levels += 1
        if self._levels > _MOST_LEVELS:
            self._stop(self._here(), f"nested deeper than {_MOST_LEVELS} levels", "A track needs five.")
        if not self._way:
            self._root(tag)
        key = (self._way, tag)
        way = self._ways.get(key)
        if way is None:
            way = self._step(tag)
            if len(self._ways) < 1000:
                self._ways[key] = way
        self._way = way
        if way == _POINT:
            self._at = self._here()
            self._elevation_m = self._time_s = None
            self._points += 1
            if self._points > MOST_POINTS:
                do = "Cut the track, or thin it out to a point every ten metres."
                self._stop(self._at, f"more than {MOST_POINTS} points", do)
            latitude = self._degrees(attributes, "lat", 90.0)
            longitude = self._degrees(attributes, "lon", 180.0)
            self._spot = None if latitude is None or longitude is None else (latitude, longitude)
        elif way in (_ELEVATION, _TIME, _NAME):
            self._value_at, self._text, self._length = self._here(), [], 0
        elif way in (_ROUTE, _PLACE):
            self._other = self._other if self._other == "rte" else way[-1]

    def _characters(self, text: str) -> None:
        if self._text is not None and self._length < _MOST_CHARACTERS:
            self._text.append(text[:_MOST_CHARACTERS])
            self._length += len(text)

    def _end(self, tag: str) -> None:
        way = self._way
        self._levels -= 1
        if way == _ELEVATION:
            self._elevation_m = self._height(self._taken())
        elif way == _TIME:
            self._time_s = _seconds(self._taken())
        elif way == _NAME:
            self.name = self.name or self._taken()
        elif way == _POINT:
            self._put()
        elif way == _SEGMENT:
            self.segments.append(tuple(self._segment))
            self._segment = []
            if len(self.segments) > _MOST_SEGMENTS:
                self._stop(self._here(), f"more than {_MOST_SEGMENTS} segments", "Cut the track.")
        self._way = way[:-1]

    # What is made of it

    def _root(self, tag: str) -> None:
        prefix, colon, name = tag.rpartition(":")
        self._prefix = prefix + colon
        if name == "gpx":
            self.is_track = True
            return
        known = {"kml": "KML", "TrainingCenterDatabase": "TCX", "html": "a web page"}.get(name)
        what = f"the outermost element is <{name}>, not <gpx>" if known else "the outermost element is not <gpx>"
        do = f"This is {known}. " if known else ""
        self._stop(self._here(), what, f"{do}Export the track as GPX.")

    def _step(self, tag: str) -> tuple[str, ...]:
        """The way down to an element of GPX itself; `*` stands for one of somebody else's."""
        local = tag[len(self._prefix) :] if tag.startswith(self._prefix) else ":"
        if ":" not in local:
            return (*self._way, local)
        name = tag.rpartition(":")[2]
        if (way := (*self._way, name)) == _POINT[: len(way)]:  # left out, a part of the way would be missing unseen
            do = f"Write  {self._prefix}{name}  as the rest of the track has it, or export the track anew."
            self._tell(self._here(), f"<{clean(tag, 30)}> is not of the same kind as <{self._prefix}gpx>", do, name)
        return (*self._way, "*")

    def _taken(self) -> str:
        text = "".join(self._text or ())
        self._text = None
        return text.strip(" \t\r\n")

    def _degrees(self, attributes: dict[str, str], name: str, most: float) -> float | None:
        text = attributes.get(name)
        if text is None:
            self._tell(self._at, f"a point without {name}", "Delete the point, or export the track anew.", "trkpt")
            return None
        value = self._number(self._at, text.strip(), name)
        if value is not None and abs(value) > most:
            do = f"{name} runs from -{most:.0f} to {most:.0f} degrees. Delete the point, or export the track anew."
            self._tell(self._at, f'"{clean(text, 30)}" is not on the Earth', do, name)
            return None
        return value

    def _height(self, text: str) -> float | None:
        if not text:
            return None
        value = self._number(self._value_at, text, "ele")
        if value is not None and not _LOWEST_M <= value <= _HIGHEST_M:
            do = "Heights are metres above the sea. Delete this <ele>, or export the track anew."
            self._tell(self._value_at, f"a height of {clean(text, 30)} m", do, "ele")
            return None
        return value

    def _number(self, place: _Place, text: str, name: str) -> float | None:
        do = "Delete it, or export the track anew."
        if len(text) > _MOST_DIGITS:
            self._tell(place, f"a number of more than {_MOST_DIGITS} digits", do, name)
            return None
        if _NUMBER.fullmatch(text) and math.isfinite(value := float(text)):
            return value
        if "," in text and _NUMBER.fullmatch(text.replace(",", ".", 1)):
            do = f"For a decimal write a point:  {text.replace(',', '.', 1)[:30]}"
        self._tell(place, f'"{clean(text, 30)}" is not a number', do, name)
        return None

    def _put(self) -> None:
        if self._spot is None:
            return
        point = TrackPoint(*self._spot, self._elevation_m, self._time_s, self._at[0])
        if self._segment:
            self._look_back(self._segment[-1], point)
        self._segment.append(point)

    def _look_back(self, before: TrackPoint, point: TrackPoint) -> None:
        apart_m = _apart_m(before, point)
        self._way_m += apart_m if apart_m <= _FARTHEST_M else 0.0
        if self._way_m > _MOST_WAY_M:
            do = f"At most {_MOST_WAY_M / 1000:.0f} km are read. Cut the track into days."
            self._stop(self._at, f"the way is longer than {_MOST_WAY_M / 1000:.0f} km", do)
        if apart_m <= _GLITCH_M:
            return
        do = f"Delete the point that is wrong: this one or that of line {before.line}. If a part of the way was not "
        do += "recorded, end the segment before it:  </trkseg><trkseg>"
        if apart_m > _FARTHEST_M:
            self._tell(self._at, f"{apart_m / 1000:.0f} km from the point before", do, "trkpt")
        elif before.time_s is not None and point.time_s is not None:
            # Clocks may count whole seconds; one that runs backwards says nothing about the speed.
            taken_s = max(1.0, point.time_s - before.time_s)
            if point.time_s >= before.time_s and apart_m > _FASTEST_M_S * taken_s:
                what = f"{apart_m:.0f} m from the point before in {taken_s:.0f} s"
                self._tell(self._at, what, do, "trkpt")

    def _judge(self) -> None:
        if self.told or any(len(segment) > 1 for segment in self.segments):
            return
        if self._points:
            do = "A way needs two points at least in one segment (trkseg). Export the track anew."
            self._tell(self._at, "no two points belong together", do)
        elif self._other == "rte":
            do = "A route (rte) has only the points where one turns. In the planner, export the whole way as a track."
            self._tell(_START, "a planned route without a track", do)
        elif self._other:
            do = "Waypoints (wpt) are single places. Export a track."
            self._tell(_START, "waypoints without a track", do)
        else:
            self._tell(_START, "no track points", "A track is  trk > trkseg > trkpt . Export the track anew.")

    def _broken(self, data: bytes, error: Exception) -> None:
        """Not XML, or cut off: the first things that people give instead are named."""
        place = self._here() if isinstance(error, expat.ExpatError) else _START
        message = expat.ErrorString(error.code) if isinstance(error, expat.ExpatError) else "unknown encoding"
        do = "Export the track anew."
        if not data.strip():
            message = "the file is empty"
        elif data.startswith((b"PK\x03\x04", b"\x1f\x8b")):
            message, do = "a packed file (zip)", "Unpack it first."
        elif data[8:12] == b".FIT":
            message, do = "a FIT file", "Export the track as GPX."
        elif not self._way and not data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith((b"<", b"\xff\xfe", b"\xfe\xff")):
            message = "not XML"
        elif self._way:
            message = f"not XML from here on: {message}"
        self.told.append((place, message, do, ""))

    def _here(self) -> _Place:
        return self._parser.CurrentLineNumber, self._parser.CurrentColumnNumber + 1

    def _tell(self, place: _Place, message: str, do: str, path: str = "") -> None:
        self.told.append((place, message, do, path))
        if len(self.told) >= _MOST_MISTAKES:
            raise _StopTrack

    def _stop(self, place: _Place, message: str, do: str) -> None:
        self.told.append((place, message, do, ""))
        raise _StopTrack


def _seconds(text: str) -> float | None:
    """Seconds since 1970; None where it is no time: nothing but a word on the way depends on it."""
    try:
        time = datetime.fromisoformat(text)
    except ValueError:
        return None
    # GPX writes UTC, with or without saying so.
    return (time if time.tzinfo else time.replace(tzinfo=UTC)).timestamp()


def _apart_m(a: TrackPoint, b: TrackPoint) -> float:
    """How far apart two points are, near enough for a bound: straight through a ball."""
    north = math.radians(b.latitude_deg - a.latitude_deg)
    east = math.radians(b.longitude_deg - a.longitude_deg)
    cosines = math.cos(math.radians(a.latitude_deg)) * math.cos(math.radians(b.latitude_deg))
    squared = math.sin(north / 2) ** 2 + cosines * math.sin(east / 2) ** 2
    return 2.0 * 6.371e6 * math.sqrt(squared)


def _lines(data: bytes, encoding: str) -> list[str]:
    """Lines as the parser counts them; only for excerpts, so that what cannot be decoded does no harm."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif not encoding or encoding.lower().startswith("utf-8"):
        encoding = "utf-8-sig"
    return _LINE_END.split(data.decode(encoding, "replace"))


def _span(lines: list[str], place: _Place) -> Span:
    """From a place to the end of the tag that starts there, on its line."""
    line, column = place
    text = lines[line - 1] if line <= len(lines) else ""
    end = text.find(">", column - 1) + 1
    return Span(line, column, line, (end if end else len(text.rstrip())) + 1 if len(text) >= column else column + 1)
