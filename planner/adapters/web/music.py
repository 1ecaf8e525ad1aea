"""Engraved music in pages: where a picture is drawn, what it is called, the statements it stands beside."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from flask import url_for
from flask.wrappers import Response

from planner.core.fact import Place
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.services.piece_page.passages import Passage
from planner.services.piece_page.score_pages import ScorePage
from planner.services.piece_page.statements import StatedTopic, Statement
from planner.wording.words import bar_names, bars, capital, listed

WIDEST_NARROW = 3
"""Most parts together that are drawn anew for a phone; more scroll in their own box. House choice."""
MOST_PLACES = 12
"""Most places of a statement that are shown and linked; more are counted. House choice."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing in a page.

    Attributes:
        wide, narrow: Where it is drawn for a desk and for a phone; the same where it scrolls.
        words: What it shows, for its caption and for those who do not see it.
        scrolls: It is as wide on a phone as at a desk.
    """

    wide: str
    narrow: str
    words: str
    scrolls: bool


@dataclass(frozen=True, slots=True)
class PlaceLink:
    """A place of the music in words, and where it stands on the pages of the score."""

    words: str
    href: str


@dataclass(frozen=True, slots=True)
class ShownStatement:
    """A statement as a page shows it.

    Attributes:
        sentence: What is stated.
        evidence: What it rests on, in sentences.
        picture: The first of its places, engraved; None where it has none or the one before shows the same.
        others: Its other places, engraved, as far as they are shown.
        links: All its places, as far as they are shown; ``left_out`` counts the others.
    """

    sentence: str
    evidence: tuple[str, ...]
    picture: Picture | None
    others: tuple[Picture, ...]
    links: tuple[PlaceLink, ...]
    left_out: int


@dataclass(frozen=True, slots=True)
class ShownTopic:
    """The statements on one topic, under their heading."""

    heading: str
    statements: tuple[ShownStatement, ...]


NOT_DRAWN = "These bars could not be drawn."
_PICTURE_OF_WORDS = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="640" height="40" viewBox="0 0 640 40"><text x="2" y="26" '
    f'font-family="sans-serif" font-size="16">{NOT_DRAWN}</text></svg>'
)


def music(svg: str) -> Response:
    """A drawing as the answer to a browser, which may keep it for a day."""
    return Response(svg, mimetype="image/svg+xml", headers={"Cache-Control": "private, max-age=86400"})


def music_in_words() -> Response:
    """What stands in place of a drawing: it is asked for as a picture, so the sentence is one too."""
    return Response(_PICTURE_OF_WORDS, mimetype="image/svg+xml", headers={"Cache-Control": "no-store"})


def music_busy() -> Response:
    """Nothing to show yet: the script of the page asks again in a moment."""
    return Response(status=503, headers={"Cache-Control": "no-store", "Retry-After": "2"})


def shown_topics(
    topics: Iterable[StatedTopic], piece: Piece, profile: PieceProfile, reader: str
) -> tuple[ShownTopic, ...]:
    """Topics with their pictures and links; ``reader`` is the part whose page is looked at, or empty."""
    shown = []
    before = ""
    for topic in topics:
        statements = []
        for each in topic.statements:
            statements.append(_shown(each, piece, profile, reader, before))
            before = statements[-1].picture.wide if statements[-1].picture else before
        shown.append(ShownTopic(topic.heading, tuple(statements)))
    return tuple(shown)


def _shown(
    statement: Statement, piece: Piece, profile: PieceProfile, reader: str, before: str
) -> ShownStatement:
    pictures = [_beside(piece, profile, each) for each in statement.passages[:MOST_PLACES]]
    distinct = list({each.wide: each for each in pictures}.values())
    links = [
        PlaceLink(bars(bar_names(profile), *each.place), _on_pages(piece, profile, each, reader))
        for each in statement.passages[:MOST_PLACES]
    ]
    return ShownStatement(
        statement.sentence,
        statement.evidence,
        next((each for each in distinct[:1] if each.wide != before), None),
        tuple(distinct[1:]),
        tuple(links),
        len(statement.passages) - len(links),
    )


def part_bars(piece: Piece, profile: PieceProfile, part: int, drawn: Place, place: Place) -> Picture:
    """Bars of one part, drawn as large as a room needs them; a ``place`` among them is tinted."""
    tinted = (place[0], min(place[1], drawn[1])) if place != drawn else None
    found = _picture(piece, profile, drawn, (part,), tinted, profile.parts[part].name)
    return replace(found, wide=found.narrow.replace("width=narrow", "width=room"))


def _beside(piece: Piece, profile: PieceProfile, passage: Passage) -> Picture:
    names = [profile.parts[at].name for at in passage.parts]
    whose = "the score" if len(names) == len(profile.parts) > 1 else listed(names)
    tinted = passage.place if passage.is_widened else None
    return _picture(piece, profile, passage.drawn, passage.parts, tinted, whose)


def _on_pages(piece: Piece, profile: PieceProfile, passage: Passage, reader: str) -> str:
    """A place on the pages of the part whose page is looked at, else of the full score."""
    number = [part.name for part in profile.parts].index(reader) + 1 if reader else None
    first, last = passage.place
    return url_for("score.show", piece_id=piece.id, part=number, at=f"{first}-{last}")


def page_picture(
    piece: Piece, profile: PieceProfile, part: int | None, shown: ScorePage, tinted: Place | None
) -> Picture:
    """A page of the score, or of a part."""
    whose = profile.parts[part].name if part is not None else "the full score"
    parts = (part,) if part is not None else ()
    return _picture(piece, profile, (shown.first, shown.last), parts, tinted, whose)


def _picture(
    piece: Piece,
    profile: PieceProfile,
    drawn: Place,
    parts: tuple[int, ...],
    tinted: Place | None,
    whose: str,
) -> Picture:
    together = len(parts) or len(profile.parts)
    scrolls = together > WIDEST_NARROW
    wide, narrow = (_address(piece, drawn, parts, tinted, is_narrow=each) for each in (False, not scrolls))
    return Picture(wide, narrow, f"{capital(bars(bar_names(profile), *drawn))}, {whose}", scrolls)


def _address(
    piece: Piece, drawn: Place, parts: tuple[int, ...], tinted: Place | None, *, is_narrow: bool
) -> str:
    """Where bars are drawn; no parts for the full score. Another file of the piece has another address."""
    asked: list[tuple[str, str | int]] = [("part", part) for part in parts]
    asked += [("tinted", f"{tinted[0]}-{tinted[1]}")] if tinted else []
    asked += [("width", "narrow")] if is_narrow else []
    asked.append(("of", piece.source.sha256[:8]))
    path = url_for("score.drawn", piece_id=piece.id, first=drawn[0], last=drawn[1])
    return f"{path}?{urlencode(asked)}"
