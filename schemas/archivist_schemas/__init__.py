"""The tables of the trade, the schema of the record and our BagIt profile, as plain files."""

from importlib.resources import files
from importlib.resources.abc import Traversable


def schema_file(*names: str) -> Traversable:
    """The file at `names` below this package, readable also from inside a zipped wheel."""
    return files(__name__).joinpath(*names)
