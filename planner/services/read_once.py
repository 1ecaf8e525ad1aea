"""A unit of work for reading that asks the library nothing twice.

A page is put together from services that each read what they need; what one of them has read the next gets
from here. Nothing may be changed through it: it would not see the change.
"""

from collections.abc import Callable, Collection, Iterable
from typing import Any, cast

from planner.services.ports.work import UnitOfWork

_BY_ID = frozenset({"get_all", "outlines"})
"""Methods that answer for each of some pieces by itself: only those not asked for before are read."""

_OF_ONE = {"list_results": "ensemble_id", "exposures": "ensemble_id", "levels": "piece_id"}
"""Methods that answer of one thing, or of all in the same order, and the field that says of which."""


def read_once(work: UnitOfWork) -> UnitOfWork:
    """The same unit of work for reading; every answer is kept while it is open."""
    return cast(UnitOfWork, _Remembered(work))


class _Remembered:
    def __init__(self, work: UnitOfWork) -> None:
        self._work = work
        self._rooms: dict[str, _Room] = {}

    def __getattr__(self, name: str) -> "_Room":
        if name not in self._rooms:
            self._rooms[name] = _Room(getattr(self._work, name))
        return self._rooms[name]


class _Room:
    """One repository."""

    def __init__(self, repository: object) -> None:
        self._repository = repository
        self._answers: dict[str, object] = {}
        self._by_id: dict[str, dict[int, object]] = {name: {} for name in _BY_ID}

    def __getattr__(self, name: str) -> Callable[..., Any]:
        ask = getattr(self._repository, name)
        if name in _BY_ID:
            return lambda ids: self._some(name, ask, ids)
        return lambda *args, **named: self._whole(name, ask, args, named)

    def _some(self, name: str, ask: Callable[..., Any], ids: Collection[int]) -> dict[int, object]:
        known = self._by_id[name]
        missing = [each for each in dict.fromkeys(ids) if each not in known]
        if missing:
            found = ask(missing)
            known.update({each: found.get(each) for each in missing})
        return {each: known[each] for each in dict.fromkeys(ids) if known[each] is not None}

    def _whole(
        self, name: str, ask: Callable[..., Any], args: tuple[Any, ...], named: dict[str, Any]
    ) -> object:
        key = _key(name, *args, **named)
        if name == "get" and len(args) == 1 and self._by_id["get_all"].get(args[0]) is not None:
            return self._by_id["get_all"][args[0]]
        if key not in self._answers:
            every = (
                self._answers.get(_key(name)) if name in _OF_ONE and len(args) == 1 and not named else None
            )
            if every is None or args[0] is None:
                self._answers[key] = ask(*args, **named)
                self._learn(name, args, self._answers[key])
            else:
                asked = cast(Iterable[object], every)
                own = (each for each in asked if getattr(each, _OF_ONE[name]) == args[0])
                self._answers[key] = tuple(own)
        return self._answers[key]

    def _learn(self, name: str, args: tuple[Any, ...], answer: Any) -> None:
        """Keep what an answer says of further questions."""
        match name:
            case "list_pieces":
                self._by_id["get_all"].update({piece.id: piece for piece in answer[0]})
            case "list_terms":
                self._answers.update({_key("get", term.id): term for term in answer})
            case "list_ensembles":
                self._answers.update({_key("get", ensemble.id): ensemble for ensemble in answer})
            case "taught":
                self._answers[_key("levels")] = answer[0]
            case "plans":
                self._answers.update({_key("plan", term_id): answer.get(term_id) for term_id in args[0]})


def _key(name: str, *args: Any, **named: Any) -> str:
    return f"{name} {args!r} {named!r}"
