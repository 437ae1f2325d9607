"""The one table of properties: each is answered by the module named here, which is loaded when it is first asked for.

To add a property: a member of ``Property``, a file with a ``RESOLVER``, and its line in this table.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from importlib.util import find_spec
from typing import Final

from assistant.ask.answer import Resolver
from assistant.language.query import Property

MODULES: Final[dict[Property, str]] = {
    Property.READY: "ready",
    Property.WINDOW: "window",
    Property.DUST: "dust",
    Property.TAPE: "tape",
    Property.MIX: "mix",
    Property.THIN: "thin",
    Property.POT: "pot",
    Property.STOCK: "stock",
    Property.BUY: "buy",
    Property.COVER: "coverage",
    Property.DEW: "air",
    Property.COLD: "cold",
    Property.HUMIDITY: "humidity",
    Property.NEXT: "next_",
    Property.LEFT: "left",
    Property.FINISH: "finish",
    Property.WHATIF: "whatif",
    Property.STATUS: "status",
    Property.DIARY: "diary",
    Property.ENTRY: "history",
    Property.COATS: "coats",
    Property.GEAR: "gear",
    Property.COMPAT: "compat",
    Property.KEEPING: "keeping",
    Property.LABEL: "label",
    Property.GRIT: "grit",
    Property.CONVERT: "convert",
    Property.KNOW: "knowledge",
    Property.AID: "first_aid",
}


@cache
def resolver(what: Property) -> Resolver | None:
    """Give how a property is answered, or None where nothing here can."""
    name = f"assistant.ask.{MODULES[what]}" if what in MODULES else ""
    if not name or find_spec(name) is None:
        return None
    found = getattr(import_module(name), "RESOLVER", None)
    return found if isinstance(found, Resolver) else None
