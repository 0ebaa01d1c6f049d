"""This package is what goes on and round a card: mats, greeting panels, the envelope, the post."""
