"""This module guesses which known name was meant by one that is not known."""

from __future__ import annotations

from collections.abc import Collection

# Names as alike as this are taken for each other; short ones differ more by each letter.
_ALIKE = 0.6
_SHORT, _SHORT_ALIKE = 3, 0.7


def likely(name: str, known: Collection[str], *, alike: float = _ALIKE) -> str | None:
    """The known name that was most likely meant, None where none comes near.

    A name in other letters, large or small, comes before one that it is the beginning
    of or a whole word of, and these before one of which it may be a misspelling.
    """
    import difflib

    said = name.strip().casefold()
    if not said:
        return None
    plain = {one.casefold(): one for one in known}
    if said in plain:
        return plain[said]
    words = [one for one in plain if said in one.replace("_", "-").split("-")]
    begun = [one for one in plain if len(said) >= _SHORT and one.startswith(said)]
    swapped = [one for one in plain if sorted(one) == sorted(said)]
    for found in (begun, words, swapped):
        if found:
            return plain[found[0]]
    cutoff = max(alike, _SHORT_ALIKE) if len(said) <= _SHORT else alike
    near = difflib.get_close_matches(said, list(plain), n=1, cutoff=cutoff)
    return plain[near[0]] if near else None
