"""An invented shop to try things out in; every day it opens as if today were its today."""

import sys
from collections.abc import Callable
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import consumables
from consumables.desk.bringing_in import bring_in_appointments, bring_in_catalogue
from consumables.desk.history import bring_in_history
from consumables.desk.jars import mix_jar
from consumables.desk.opening import Desk, open_desk
from consumables.errors import NotFound

Progress = Callable[[int, int], None]


def prepare(into: Path, progress: Progress | None = None) -> str:
    """Write today's demo shop into a folder; returns the path of its shop file."""
    from datetime import date

    shop = str(into / "demo.db")
    with open_desk(shop, must_exist=False) as desk:
        folder = _script().dated(_folder(), date.today(), into / "files")
        bring_in_catalogue(desk, folder)
        bring_in_history(desk, folder, progress)
        bring_in_appointments(desk, folder / "appointments.ics")
        _morning_jar(desk)
    return shop


def _morning_jar(desk: Desk) -> None:
    concentrates = [item for item in desk.items.values() if item.contact_minutes and item.dispensed]
    if concentrates:
        mix_jar(desk, concentrates[0].item_id, 1000, 64)


def _folder() -> Path:
    package = Path(consumables.__file__).parent
    for place in (package / "_demo_shop", package.parent / "demo_shop"):
        if (place / "make_demo_shop.py").exists():
            return place
    raise NotFound("The demo shop's files are not installed here; install the tool again.")


def _script() -> ModuleType:
    # The script that invents the shop lives beside its files, outside the package.
    path = _folder() / "make_demo_shop.py"
    spec = spec_from_file_location("make_demo_shop", path)
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    sys.modules.setdefault("make_demo_shop", module)
    sys.path.insert(0, str(path.parent))
    try:
        spec.loader.exec_module(module)
    finally:
        sys.path.remove(str(path.parent))
    return module
