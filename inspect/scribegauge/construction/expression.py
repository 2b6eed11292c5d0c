"""Small sums in a construction file: numbers, sizes, + − × ÷, brackets, roots and sines."""

import ast
import math
import operator
from collections.abc import Callable, Mapping
from typing import Final

_LONGEST: Final = 200
_BINARY: Final[Mapping[type[ast.operator], Callable[[float, float], float]]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
_FUNCTIONS: Final[Mapping[str, Callable[[float], float]]] = {
    "sqrt": math.sqrt,
    "sin_deg": lambda angle: math.sin(math.radians(angle)),
    "cos_deg": lambda angle: math.cos(math.radians(angle)),
    "tan_deg": lambda angle: math.tan(math.radians(angle)),
}


def evaluate(text: object, sizes: Mapping[str, float]) -> float:
    """Return what a sum comes to.

    Parameters
    ----------
    text : int, float or str
        E.g. ``2.5``, ``"radius_mm * 9 / 16"`` or ``"pitch_mm * sin_deg(180 / n)"``.
    sizes : Mapping of str to float

    Raises
    ------
    ValueError
        With what is wrong, to follow the key's name.
    """
    if isinstance(text, bool) or not isinstance(text, int | float | str):
        raise ValueError("must be a number or a sum in quotes")  # noqa: TRY004 - a fault of a file
    value = _value(_tree(text), sizes) if isinstance(text, str) else float(text)
    if not math.isfinite(value):
        raise ValueError("does not come to a finite number")
    return value


def _tree(text: str) -> ast.expr:
    if len(text) > _LONGEST:
        raise ValueError("is too long for a sum")
    try:
        return ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise ValueError("is no sum of numbers and sizes") from None


def _value(node: ast.expr, sizes: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=int() | float()) if not isinstance(node.value, bool):
            return float(node.value)  # type: ignore[arg-type]
        case ast.Name(id=name) if name in sizes:
            return sizes[name]
        case ast.Name(id=name):
            raise ValueError(f"speaks of {name[:40]}, which is no size of this file")
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, sizes)
        case ast.Call(func=ast.Name(id=name), args=[inner], keywords=[]) if name in _FUNCTIONS:
            return _FUNCTIONS[name](_value(inner, sizes))
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _BINARY:
            first, second = _value(left, sizes), _value(right, sizes)
            if isinstance(op, ast.Div) and second == 0:
                raise ValueError("divides by zero")
            return _BINARY[type(op)](first, second)
    raise ValueError(f"may hold numbers, sizes, + - * /, brackets and {', '.join(_FUNCTIONS)} only")
