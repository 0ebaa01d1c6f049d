"""This package holds the shipped material files, each registered by its path."""

from importlib.resources import files

_HERE = files(__name__)

text_120 = _HERE / "text-120.toml"
card_200 = _HERE / "card-200.toml"
card_300 = _HERE / "card-300.toml"

__all__ = ["card_200", "card_300", "text_120"]
