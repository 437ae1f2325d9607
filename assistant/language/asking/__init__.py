"""Questions: words in, an unsettled question or follow-up out. It knows no job and no craft."""

from assistant.language.asking.reading import ask, follow, lemmas_of
from assistant.language.asking.said import Asked, Filter, Supposed

__all__ = ["Asked", "Filter", "Supposed", "ask", "follow", "lemmas_of"]
