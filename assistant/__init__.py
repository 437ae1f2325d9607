"""dabhand: an offline assistant for somebody whose hands are dirty."""

__version__ = "0.1.0"
