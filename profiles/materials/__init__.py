"""This package holds the shipped material files, each registered by its path."""

from importlib.resources import files

_HERE = files(__name__)

text_120 = _HERE / "text-120.toml"
text_160 = _HERE / "text-160.toml"
card_176 = _HERE / "card-176.toml"
card_200 = _HERE / "card-200.toml"
card_216 = _HERE / "card-216.toml"
card_270 = _HERE / "card-270.toml"
card_300 = _HERE / "card-300.toml"
kraft_300 = _HERE / "kraft-300.toml"
translucent_110 = _HERE / "translucent-110.toml"
watercolour_300 = _HERE / "watercolour-300.toml"
mirror_card = _HERE / "mirror-card.toml"
board_08 = _HERE / "board-08.toml"
greyboard_1 = _HERE / "greyboard-1.toml"
corrugated_e = _HERE / "corrugated-e.toml"
polypropylene_05 = _HERE / "polypropylene-05.toml"
plywood_3 = _HERE / "plywood-3.toml"
felt_2 = _HERE / "felt-2.toml"

__all__ = [
    "board_08",
    "card_176",
    "card_200",
    "card_216",
    "card_270",
    "card_300",
    "corrugated_e",
    "felt_2",
    "greyboard_1",
    "kraft_300",
    "mirror_card",
    "plywood_3",
    "polypropylene_05",
    "text_120",
    "text_160",
    "translucent_110",
    "watercolour_300",
]
