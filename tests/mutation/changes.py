"""Small changes of a module's source, each one a way in which a programmer may err."""

from typing import Any, NamedTuple, cast

import libcst as cst
from libcst import matchers
from libcst.metadata import CodeRange, MetadataWrapper, ParentNodeProvider, PositionProvider


class Change(NamedTuple):
    """One changed node: where, what it was and what it becomes; and the widest expression whose value tells both apart."""

    line: int
    within: str
    was: str
    becomes: str
    node: cst.CSTNode
    new: cst.CSTNode
    watched: cst.BaseExpression | None


_COMPARE: dict[type, type] = {
    cst.LessThan: cst.LessThanEqual,
    cst.LessThanEqual: cst.LessThan,
    cst.GreaterThan: cst.GreaterThanEqual,
    cst.GreaterThanEqual: cst.GreaterThan,
    cst.Equal: cst.NotEqual,
    cst.NotEqual: cst.Equal,
    cst.In: cst.NotIn,
    cst.NotIn: cst.In,
    cst.Is: cst.IsNot,
    cst.IsNot: cst.Is,
}
_ARITHMETIC: dict[type, type] = {
    cst.Add: cst.Subtract,
    cst.Subtract: cst.Add,
    cst.Multiply: cst.Divide,
    cst.Divide: cst.Multiply,
    cst.FloorDivide: cst.Divide,
    cst.Power: cst.Multiply,
}
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any"}
# An expression is watched as far out as only such nodes enclose it: nothing but its value leaves them.
_OPERATORS = (
    cst.BinaryOperation,
    cst.BooleanOperation,
    cst.Comparison,
    cst.ComparisonTarget,
    cst.UnaryOperation,
    cst.IfExp,
    cst.Tuple,
    cst.Element,
)
# Words for people: what they say is not what is judged.
_WORDING = frozenset({"reason", "otherwise", "remedy", "required", "found_shown", "title"})


class _Collector(cst.CSTVisitor):
    METADATA_DEPENDENCIES = (PositionProvider, ParentNodeProvider)

    def __init__(self) -> None:
        self.changes: list[Change] = []
        self._in_comparison = 0
        self._within: list[str] = []

    def _add(self, node: cst.CSTNode, new: cst.CSTNode, at: cst.CSTNode | None = None) -> None:
        line = cast("CodeRange", self.get_metadata(PositionProvider, at or node)).start.line
        empty = cst.Module([])
        self.changes.append(
            Change(
                line,
                ".".join(self._within) or "module",
                empty.code_for_node(node),
                empty.code_for_node(new),
                node,
                new,
                self._watched(node),
            )
        )

    def _watched(self, node: cst.CSTNode) -> cst.BaseExpression | None:
        widest, parent = node, self.get_metadata(ParentNodeProvider, node)
        while isinstance(parent, _OPERATORS) or (
            isinstance(parent, cst.Call) and parent.func is widest
        ):
            widest, parent = parent, self.get_metadata(ParentNodeProvider, parent)
        # A name that is given in passing would stay inside the watched expression.
        if not isinstance(widest, cst.BaseExpression) or matchers.findall(
            widest, matchers.NamedExpr()
        ):
            return None
        return widest

    def visit_FunctionDef(self, node: cst.FunctionDef) -> None:
        self._within.append(node.name.value)

    def leave_FunctionDef(self, original_node: cst.FunctionDef) -> None:
        self._within.pop()

    def visit_ClassDef(self, node: cst.ClassDef) -> None:
        self._within.append(node.name.value)

    def leave_ClassDef(self, original_node: cst.ClassDef) -> None:
        self._within.pop()

    def visit_Annotation(self, node: cst.Annotation) -> bool:
        return False

    def visit_FormattedString(self, node: cst.FormattedString) -> bool:
        return False

    def visit_Arg(self, node: cst.Arg) -> bool:
        return not (node.keyword and node.keyword.value in _WORDING)

    def visit_Comparison(self, node: cst.Comparison) -> None:
        self._in_comparison += 1
        for target in node.comparisons:
            other = _COMPARE.get(type(target.operator))
            if other is not None:
                self._add(target, target.with_changes(operator=other()), node)

    def leave_Comparison(self, original_node: cst.Comparison) -> None:
        self._in_comparison -= 1

    def visit_SimpleString(self, node: cst.SimpleString) -> None:
        if self._in_comparison:
            self._add(node, cst.SimpleString('"changed"'))

    def visit_BinaryOperation(self, node: cst.BinaryOperation) -> None:
        other = _ARITHMETIC.get(type(node.operator))
        if other is not None:
            self._add(node, node.with_changes(operator=other()))

    def visit_BooleanOperation(self, node: cst.BooleanOperation) -> None:
        other = cst.Or if isinstance(node.operator, cst.And) else cst.And
        # The old operator may carry a line break.
        old = node.operator
        self._add(
            node,
            node.with_changes(
                operator=other(
                    whitespace_before=old.whitespace_before, whitespace_after=old.whitespace_after
                )
            ),
        )

    def visit_UnaryOperation(self, node: cst.UnaryOperation) -> None:
        if isinstance(node.operator, cst.Not):
            self._add(
                node, node.expression.with_changes(lpar=[cst.LeftParen()], rpar=[cst.RightParen()])
            )
        elif isinstance(node.operator, cst.Minus):
            self._add(node, node.expression)

    def visit_Integer(self, node: cst.Integer) -> None:
        self._add(node, cst.Integer(str(node.evaluated_value + 1)))

    def visit_Float(self, node: cst.Float) -> None:
        self._add(node, cst.Float(repr(node.evaluated_value * 1.5 + (node.evaluated_value == 0))))

    def visit_Name(self, node: cst.Name) -> None:
        if node.value in ("True", "False"):
            self._add(node, cst.Name("False" if node.value == "True" else "True"))

    def visit_Call(self, node: cst.Call) -> None:
        if isinstance(node.func, cst.Name) and node.func.value in _CALLS:
            self._add(node.func, cst.Name(_CALLS[node.func.value]))


def changes(source: str) -> tuple[cst.Module, list[Change]]:
    """The parsed module and every change of it, in the order of the text."""
    wrapper = MetadataWrapper(cst.parse_module(source))
    collector = _Collector()
    wrapper.visit(collector)
    return wrapper.module, collector.changes


def changed(module: cst.Module, change: Change) -> str:
    """The whole source with one change made."""
    tree = module.deep_replace(change.node, change.new)
    assert isinstance(tree, cst.Module)
    return tree.code


class _Watcher(cst.CSTTransformer):
    def __init__(self, found: list[Change], name: str, module: str) -> None:
        self.name, self.module = name, module
        self.of: dict[cst.CSTNode, list[tuple[int, Change]]] = {}
        for number, change in enumerate(found):
            if change.watched is not None:
                self.of.setdefault(change.watched, []).append((number, change))

    def on_leave(self, original_node: Any, updated_node: Any) -> Any:
        if original_node not in self.of:
            return updated_node
        arguments = [
            cst.Arg(cst.SimpleString(repr(self.module))),
            cst.Arg(_later(updated_node)),
        ]
        for number, change in self.of[original_node]:
            new = (
                change.new
                if original_node is change.node
                else original_node.deep_replace(change.node, change.new)
            )
            arguments += [
                cst.Arg(cst.Integer(str(number))),
                cst.Arg(_later(cast("cst.BaseExpression", new))),
            ]
        return cst.Call(cst.Name(self.name), arguments)


def _later(node: cst.BaseExpression) -> cst.Lambda:
    inner = node.with_changes(
        lpar=[cst.LeftParen(), *node.lpar], rpar=[*node.rpar, cst.RightParen()]
    )
    return cst.Lambda(cst.Parameters(), inner)


def watching(tree: cst.Module, found: list[Change], name: str, module: str) -> str:
    """The source with every watched expression handed to the function `name` together with its changes.

    It is called with the module, the expression as a function, and for each change its number and the changed expression
    as a function; its answer takes the place of the expression.
    """
    watched = tree.visit(_Watcher(found, name, module))
    assert isinstance(watched, cst.Module)
    return watched.code


def described(change: Change) -> str:
    """Where and what the change is, in one line and without the line number, which moves."""
    was, becomes = (" ".join(text.split()) for text in (change.was, change.becomes))
    return f"{change.within}: {was[:70]} → {becomes[:70]}"
