"""What the build writes into the engine's models, because the browser has no sources to read."""

import ast
import sys
from types import ModuleType

import pytest
from pydantic import BaseModel, ConfigDict

from web.build.field_docs import with_field_docs

SOURCE = '''
"""A shelf."""
from __future__ import annotations
from typing import Annotated
from pydantic import BaseModel, ConfigDict, Field

class Shelf(BaseModel):
    """One shelf."""

    model_config = ConfigDict(use_attribute_docstrings=True)
    width: Annotated[float, Field(gt=0)]
    """Width [m].

    Between the uprights.
    """
    books: list[str] | None = None
    plain: int = 3
    """How many."""
'''


@pytest.fixture
def shelf(monkeypatch) -> type[BaseModel]:
    """The model as the browser gets it."""
    module = ModuleType("shelf_for_the_browser")
    monkeypatch.setitem(sys.modules, module.__name__, module)
    exec(compile(with_field_docs(SOURCE, "shelf.py"), "shelf.py", "exec"), module.__dict__)
    return module.Shelf


def test_fields_keep_type_default_limits_and_get_their_description(shelf) -> None:
    fields = shelf.model_fields
    assert fields["width"].description == "Width [m].\n\nBetween the uprights."
    assert fields["plain"].description == "How many."
    assert fields["books"].description is None
    schema = shelf.model_json_schema()["properties"]
    assert schema["width"]["exclusiveMinimum"] == 0
    assert schema["plain"]["default"] == 3


def test_pydantic_no_longer_looks_for_sources(shelf) -> None:
    assert shelf.model_config == ConfigDict(use_attribute_docstrings=False)


def test_a_module_without_fields_stays_as_it_is() -> None:
    plain = "x: int = 1\n'''Not in a class.'''\n"
    assert ast.dump(with_field_docs(plain, "x.py")) == ast.dump(ast.parse(plain))
