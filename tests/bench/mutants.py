"""Small wrong changes to a source file, as a careless edit could make them: each is one place of
the text with something else written there."""

import ast
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_OTHER_COMPARISON = {
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.Is: "is not",
    ast.IsNot: "is",
    ast.In: "not in",
    ast.NotIn: "in",
}
_OTHER_ARITHMETIC = {
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "+",
    ast.Div: "*",
    ast.FloorDiv: "*",
    ast.Mod: "*",
}
_COMPARISON = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
    ast.Is: "is",
    ast.IsNot: "is not",
    ast.In: "in",
    ast.NotIn: "not in",
}


@dataclass(frozen=True, slots=True)
class Mutant:
    """``start`` and ``end`` are offsets in the bytes of ``path``, ``line`` counts from 1."""

    path: str
    line: int
    kind: str
    start: int
    end: int
    written: str

    def applied(self, content: bytes) -> bytes:
        return content[: self.start] + self.written.encode() + content[self.end :]

    def key(self, content: bytes) -> str:
        """Stays while the line stays as it is, wherever it moves."""
        begin = content.rfind(b"\n", 0, self.start) + 1
        ending = content.find(b"\n", self.end)
        line = content[begin:ending]
        before = content.count(line, 0, begin)
        told = repr((self.path, line, before, self.start - begin, self.kind, self.written))
        return hashlib.sha256(told.encode()).hexdigest()[:12]


def mutants(root: Path, path: str) -> Iterator[Mutant]:
    """All mutants of the file, in the order of their places."""
    content = (root / path).read_bytes()
    finder = _Finder(path, content)
    finder.visit(ast.parse(content))
    yield from sorted(finder.found, key=lambda mutant: (mutant.start, mutant.kind, mutant.written))


class _Finder(ast.NodeVisitor):
    """Annotations, docstrings and what only a type checker reads are passed over."""

    def __init__(self, path: str, content: bytes) -> None:
        self.path, self.content, self.found = path, content, list[Mutant]()
        self.starts = [0]
        for line in content.split(b"\n"):
            self.starts.append(self.starts[-1] + len(line) + 1)

    def _span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def _source(self, node: ast.expr | ast.stmt) -> str:
        start, end = self._span(node)
        return self.content[start:end].decode()

    def _add(self, node: ast.expr | ast.stmt, kind: str, written: str) -> None:
        start, end = self._span(node)
        self.found.append(Mutant(self.path, node.lineno, kind, start, end, written))

    def _between(self, left: ast.expr, right: ast.expr, kind: str, old: str, new: str) -> None:
        """``old``, which stands between two expressions, becomes ``new``."""
        begin, ending = self._span(left)[1], self._span(right)[0]
        at = self.content.find(old.encode(), begin, ending)
        if at >= 0:
            line = self.content.count(b"\n", 0, at) + 1
            self.found.append(Mutant(self.path, line, kind, at, at + len(old), new))

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for statement in node.body:
            self.visit(statement)

    def visit_keyword(self, node: ast.keyword) -> None:
        # What says that two things are of one length is a check of its own.
        if node.arg != "strict":
            self.visit(node.value)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_Assign(self, node: ast.Assign) -> None:
        if not (
            isinstance(node.value, ast.Call)
            and isinstance(node.value.func, ast.Name)
            and node.value.func.id in ("TypeVar", "ParamSpec", "NewType")
        ):
            self.generic_visit(node)

    def visit_arg(self, node: ast.arg) -> None:
        pass

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for default in [*node.args.defaults, *filter(None, node.args.kw_defaults)]:
            self.visit(default)
        for statement in node.body:
            self.visit(statement)

    def visit_Import(self, node: ast.Import) -> None:
        pass

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        pass

    def visit_If(self, node: ast.If) -> None:
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return
        self._negated(node.test)
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self._negated(node.test)
        self.generic_visit(node)

    def visit_While(self, node: ast.While) -> None:
        self._negated(node.test)
        self.generic_visit(node)

    def visit_comprehension(self, node: ast.comprehension) -> None:
        for condition in node.ifs:
            self._add(condition, "condition left out", "True")
        self.generic_visit(node)

    def _negated(self, test: ast.expr) -> None:
        if not isinstance(test, ast.Compare) or len(test.ops) > 1:
            self._add(test, "condition turned round", f"(not ({self._source(test)}))")

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        for number, operator in enumerate(node.ops):
            self._between(
                sides[number],
                sides[number + 1],
                "other comparison",
                _COMPARISON[type(operator)],
                _OTHER_COMPARISON[type(operator)],
            )
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in zip(node.values, node.values[1:], strict=False):
            self._between(left, right, "and for or", old, new)
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        new = _OTHER_ARITHMETIC.get(type(node.op))
        old = {
            ast.Add: "+",
            ast.Sub: "-",
            ast.Mult: "*",
            ast.Div: "/",
            ast.FloorDiv: "//",
            ast.Mod: "%",
        }.get(type(node.op))
        if new is not None and old is not None and not _is_of_text(node):
            self._between(node.left, node.right, "other arithmetic", old, new)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.Not):
            self._add(node, "not left out", f"({self._source(node.operand)})")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool):
            self._add(node, "other constant", str(not node.value))
        elif isinstance(node.value, int):
            self._add(node, "other constant", str(node.value + 1))

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Places within an f-string are not told apart before Python 3.12."""

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is not None and not (
            isinstance(node.value, ast.Constant) and node.value.value is None
        ):
            self._add(node, "nothing returned", "return None")
        self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call):
            self._add(node, "call left out", "pass")
        if not isinstance(node.value, ast.Constant):
            self.generic_visit(node)

    def visit_Break(self, node: ast.Break) -> None:
        self._add(node, "goes on", "pass")

    def visit_Continue(self, node: ast.Continue) -> None:
        self._add(node, "goes on", "pass")

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        if isinstance(node.op, ast.Add):
            self._between(node.target, node.value, "other arithmetic", "+=", "-=")
        self.generic_visit(node)


def _is_of_text(node: ast.BinOp) -> bool:
    """Texts put together or filled in: any other operator fails at once and tells nothing."""
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )
