"""This module writes the manifest: a JSON file that tells what the other files of a folder are."""

from __future__ import annotations

import json
from collections.abc import Mapping

from .files import Companion
from .protocol import OUR_MARK

MANIFEST = "manifest.json"
UNPROVEN_MANIFEST = "manifest-unproven.json"

# The first key of the file, so that its head tells whose it is.
_FIRST = "written_by"


def manifest(facts: Mapping[str, object], *, proven: bool) -> Companion:
    """The manifest with these facts; its name says where the design did not prove."""
    whole = {_FIRST: OUR_MARK, **facts}
    text = json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"

    meant = json.loads(text)

    def read_back(data: bytes) -> str | None:
        try:
            found = json.loads(data.decode("utf-8"))
        except ValueError as reason:
            return str(reason)
        if not isinstance(found, dict):
            return "it is no object"
        keys = dict.fromkeys((*meant, *found))
        off = [key for key in keys if found.get(key, keys) != meant.get(key, keys)]
        return f"it differs in {', '.join(off)}" if off else None

    return Companion(
        name=MANIFEST if proven else UNPROVEN_MANIFEST,
        data=text.encode("utf-8"),
        read_back=read_back,
        is_ours=carries_our_mark,
    )


def carries_our_mark(head: bytes) -> bool:
    """Whether the head of a file is that of a manifest that was written here."""
    start = json.dumps({_FIRST: OUR_MARK}, indent=2).removesuffix("\n}").encode()
    return head.startswith(start)


def is_manifest_of(head: bytes, design: str) -> bool:
    """Whether the head of a file is that of a manifest of a design that was written here."""
    name = json.dumps({"design": design}, ensure_ascii=False)[1:-1].encode()
    return carries_our_mark(head) and name in head
