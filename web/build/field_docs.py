"""Turns the docstrings below a model's fields into descriptions that stand in the annotation.

pydantic reads such docstrings from the source file while it makes the class. The browser has no
sources, so the build writes them in, and saves it the looking for them at every start.
"""

import ast
import inspect

OPTION = "use_attribute_docstrings"
FIELD, ANNOTATED = "_DescribedField", "_DescribedAnnotated"
IMPORTS = f"from pydantic import Field as {FIELD}\nfrom typing import Annotated as {ANNOTATED}\n"


class FieldDocs(ast.NodeTransformer):
    """Rewrites `name: T` followed by a docstring into `name: Annotated[T, Field(description=…)]`."""

    def __init__(self) -> None:
        self.found = False

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.ClassDef:
        """Describes the fields of a class."""
        self.generic_visit(node)
        for field, below in zip(node.body, node.body[1:], strict=False):
            if isinstance(field, ast.AnnAssign) and isinstance(below, ast.Expr):
                text = below.value.value if isinstance(below.value, ast.Constant) else None
                if isinstance(text, str):
                    field.annotation = self._described(field.annotation, text)
        return node

    def visit_keyword(self, node: ast.keyword) -> ast.keyword:
        """Switches pydantic's own search off."""
        self.generic_visit(node)
        if node.arg == OPTION:
            node.value = ast.copy_location(ast.Constant(False), node.value)
        return node

    def _described(self, annotation: ast.expr, text: str) -> ast.expr:
        self.found = True
        described = f"{ANNOTATED}[0, {FIELD}(description={inspect.cleandoc(text)!r})]"
        made = ast.parse(described, mode="eval").body
        # What the text above is parsed to.
        assert isinstance(made, ast.Subscript)
        assert isinstance(made.slice, ast.Tuple)
        made.slice.elts[0] = annotation
        return ast.copy_location(made, annotation)


def with_field_docs(source: str | bytes, shown_as: str) -> ast.Module:
    """The syntax tree of a module whose fields carry their descriptions."""
    tree = ast.parse(source, shown_as)
    rewriter = FieldDocs()
    rewriter.visit(tree)
    if rewriter.found:
        first = next(
            place
            for place, node in enumerate(tree.body)
            if not (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
            and not (isinstance(node, ast.ImportFrom) and node.module == "__future__")
        )
        tree.body[first:first] = ast.parse(IMPORTS).body
    return ast.fix_missing_locations(tree)
