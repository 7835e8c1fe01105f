"""Pacer: a calm countdown on the projector and a private view for the teacher."""

__version__ = "0.1.0"
