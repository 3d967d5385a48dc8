"""Frozen dataclasses as JSON text and back, by their own type hints. Text from a stranger is checked, never trusted.

The text is canonical: keys sorted, every field written, numbers in their shortest form (9, not 9.0), so that
equal values have equal text. A field named `unknown` takes up what a newer version wrote and this one does not know:
pairs of a key and its JSON text, given back when the value is written again; keys of a value that has no such field
go to the one around it, as "outline.key". Arrays are written as their bytes in base64, moments in ISO 8601.
"""

from __future__ import annotations

import base64
import binascii
import functools
import json
import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from enum import Enum
from typing import Any, TypeVar, cast

import numpy as np

__all__ = ["TextError", "from_text", "to_text"]

Value = TypeVar("Value")

_UNKNOWN = "unknown"
_WHOLE = 2.0**53  # beyond, floats are no longer dense in whole numbers
_MOST_INNER = 200_000  # lists and objects in all: more than the largest job has, and read in a moment
_DEEPEST = 60  # lists and objects within one another
_LARGEST_ARRAY = 50_000_000  # bytes
_AS_IT_IS = frozenset({str, int, bool, type(None)})
_DTYPES = ("bool", "uint8", "uint16", "int32", "int64", "float32", "float64")


class TextError(ValueError):
    """A text does not say a value of the type that was asked for; the message says where and what was expected."""


def to_text(value: object) -> str:
    """Return a dataclass value as canonical JSON text. TypeError for what the codec does not know: a fault of ours.

    >>> from colourcore.job.model import PhotoFile
    >>> to_text(PhotoFile(name="oak.jpg", sha256="e3b0"))
    '{"name":"oak.jpg","sha256":"e3b0"}'
    """
    return _json(_plain(value))


def _json(plain: Any) -> str:
    return json.dumps(
        plain, ensure_ascii=False, allow_nan=False, sort_keys=True, check_circular=False, separators=(",", ":")
    )


def from_text(kind: type[Value], text: str) -> Value:
    """Return the value of type `kind` that a JSON text says. Fields that it does not name keep their defaults.

    Raises TextError for anything else than such a value.

    >>> from colourcore.job.model import PhotoFile
    >>> from_text(PhotoFile, '{"name": "oak.jpg", "sha256": "e3b0", "of a later version": [1]}')
    PhotoFile(name='oak.jpg', sha256='e3b0', unknown=(('of a later version', '[1]'),))
    >>> from_text(PhotoFile, '{"name": 7, "sha256": ""}')
    Traceback (most recent call last):
    colourcore.job.codec.TextError: name: expected text, got a number
    """
    if text.count("[") + text.count("{") > _MOST_INNER:
        raise TextError(f"expected JSON of up to {_MOST_INNER} lists and objects")
    try:
        plain = json.loads(text, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        raise TextError(f"expected JSON ({str(error)[:80]})") from None
    _refuse_depth(plain)
    return cast(Value, _reader(cast(Any, kind))(plain, ""))


def _refuse_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _refuse_depth(plain: Any) -> None:
    """Refuse what is nested so deeply that walking it could end in the program and not in a sentence."""
    level = [plain]
    for _ in range(_DEEPEST):
        level = [inner for value in level if isinstance(value, list | dict) for inner in _inner(value)]
        if not level:
            return
    raise TextError(f"expected values nested up to {_DEEPEST} deep")


def _inner(value: list[Any] | dict[str, Any]) -> list[Any]:
    inner = value if isinstance(value, list) else value.values()
    return [item for item in inner if isinstance(item, list | dict)]


# writing


def _plain(value: object) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < _WHOLE else value
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, np.ndarray):
        return _plain_array(value)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return _plain_dataclass(value)
    raise TypeError(f"{type(value).__name__} has no JSON form here")


def _plain_dataclass(value: Any) -> dict[str, Any]:
    plain: dict[str, Any] = {}
    kind: Any = type(value)
    for name in _known_fields(kind):
        item = getattr(value, name)
        plain[name] = item if item.__class__ in _AS_IT_IS else _plain(item)
    for path, text in getattr(value, _UNKNOWN, ()):
        holder, dot, key = path.partition(".")
        inner = plain.get(holder)
        if dot and isinstance(inner, dict):
            inner.setdefault(key, json.loads(text))
        else:
            plain.setdefault(path, json.loads(text))
    return plain


@functools.cache
def _known_fields(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind) if field.name != _UNKNOWN)


def _plain_array(array: np.ndarray[Any, Any]) -> dict[str, Any]:
    if array.dtype.name not in _DTYPES:
        raise TypeError(f"an array of {array.dtype.name} has no JSON form here")
    little = np.ascontiguousarray(array, dtype=array.dtype.newbyteorder("<"))
    return {
        "dtype": array.dtype.name,
        "shape": list(array.shape),
        "base64": base64.b64encode(little.tobytes()).decode("ascii"),
    }


# reading

Reader = Callable[[Any, str], Any]
"""Turns parsed JSON into a value; the text says where in the whole it stands."""


@functools.cache
def _reader(hint: Any) -> Reader:
    """Return what reads values of a type hint. TypeError for hints that the codec does not know: a fault of ours."""
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if hint in _SIMPLE:
        return _SIMPLE[hint]
    if origin in (typing.Union, types.UnionType):
        return _union_reader([_reader(argument) for argument in arguments])
    if origin is tuple:
        if len(arguments) == 2 and arguments[1] is Ellipsis:
            return _series_reader(_reader(arguments[0]))
        return _tuple_reader([_reader(argument) for argument in arguments])
    if origin is np.ndarray:
        return _read_array
    if isinstance(origin, type) and issubclass(origin, Mapping) and arguments[0] is str:
        return _mapping_reader(_reader(arguments[1]))
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _enum_reader(hint)
    if isinstance(hint, type) and is_dataclass(hint):
        return _dataclass_reader(hint)
    raise TypeError(f"{hint} has no JSON form here")


def _expected(what: str, got: object, where: str) -> TextError:
    names = {dict: "an object", list: "a list", str: "text", bool: "true or false", type(None): "null"}
    said = names.get(type(got), "a number")
    return TextError(f"{where or 'value'}: expected {what}, got {said}")


def _read_text(plain: Any, where: str) -> str:
    if not isinstance(plain, str):
        raise _expected("text", plain, where)
    if not plain.isascii():
        try:
            plain.encode("utf-8")
        except UnicodeEncodeError:
            raise TextError(f"{where}: expected text, got half a character") from None
    return plain


def _read_number(plain: Any, where: str) -> float:
    if isinstance(plain, bool) or not isinstance(plain, int | float):
        raise _expected("a number", plain, where)
    try:
        number = float(plain)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise TextError(f"{where}: expected a finite number")
    return number


def _read_whole_number(plain: Any, where: str) -> int:
    if isinstance(plain, bool) or not isinstance(plain, int) or abs(plain) >= 2**63:
        raise _expected("a whole number of up to 63 bits", plain, where)
    return plain


def _read_truth(plain: Any, where: str) -> bool:
    if not isinstance(plain, bool):
        raise _expected("true or false", plain, where)
    return plain


def _read_nothing(plain: Any, where: str) -> None:
    if plain is not None:
        raise _expected("null", plain, where)


def _read_moment(plain: Any, where: str) -> datetime:
    text = _read_text(plain, where)
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise TextError(f"{where or 'value'}: expected a date and time (ISO 8601), got {text[:40]!r}") from None


_SIMPLE: dict[Any, Reader] = {
    datetime: _read_moment,
    str: _read_text,
    float: _read_number,
    int: _read_whole_number,
    bool: _read_truth,
    type(None): _read_nothing,
}


def _union_reader(readers: list[Reader]) -> Reader:
    def read(plain: Any, where: str) -> Any:
        if plain is None and _read_nothing in readers:
            return None
        failure = _expected("something else", plain, where)
        for reader in readers:
            if reader is _read_nothing:
                continue
            try:
                return reader(plain, where)
            except TextError as error:
                failure = error
        raise failure

    return read


def _items(plain: Any, where: str) -> list[Any]:
    if not isinstance(plain, list):
        raise _expected("a list", plain, where)
    return plain


def _series_reader(reader: Reader) -> Reader:
    return lambda plain, where: tuple(reader(item, f"{where}[{n}]") for n, item in enumerate(_items(plain, where)))


def _tuple_reader(readers: list[Reader]) -> Reader:
    def read(plain: Any, where: str) -> tuple[Any, ...]:
        items = _items(plain, where)
        if len(items) != len(readers):
            raise TextError(f"{where}: expected a list of {len(readers)}, got {len(items)}")
        return tuple(reader(item, f"{where}[{n}]") for n, (reader, item) in enumerate(zip(readers, items, strict=True)))

    return read


def _mapping_reader(reader: Reader) -> Reader:
    def read(plain: Any, where: str) -> dict[str, Any]:
        if not isinstance(plain, dict):
            raise _expected("an object", plain, where)
        return {_read_text(key, where): reader(item, f"{where}.{key}") for key, item in plain.items()}

    return read


def _enum_reader(kind: type[Enum]) -> Reader:
    def read(plain: Any, where: str) -> Enum:
        try:
            return kind(plain)
        except ValueError:
            allowed = ", ".join(str(member.value) for member in kind)
            raise TextError(f"{where}: expected one of {allowed}, got {str(plain)[:40]!r}") from None

    return read


def _dataclass_reader(kind: Any) -> Reader:
    hints = typing.get_type_hints(kind)
    names = _known_fields(kind)
    readers = {name: _reader(hints[name]) for name in names}
    closed = {name: inner for name in names if (inner := _closed_dataclass(hints[name]))}

    def unknown(plain: dict[str, Any], where: str) -> tuple[tuple[str, str], ...]:
        found = {key: plain[key] for key in plain if key not in readers}
        for name, known in closed.items():
            if isinstance(plain.get(name), dict):
                found |= {f"{name}.{key}": item for key, item in plain[name].items() if key not in known}
        return tuple((_read_text(key, where), _json(found[key])) for key in sorted(found))

    def read(plain: Any, where: str) -> Any:
        if not isinstance(plain, dict):
            raise _expected("an object", plain, where)
        dot = f"{where}." if where else ""
        said = {name: readers[name](plain[name], dot + name) for name in names if name in plain}
        if _UNKNOWN in hints:
            said[_UNKNOWN] = unknown(plain, where)
        try:
            return kind(**said)
        except (TypeError, ValueError) as error:
            raise TextError(f"{where or 'value'}: {str(error)[:120]}") from None

    return read


def _closed_dataclass(hint: Any) -> frozenset[str]:
    """Return the field names of a dataclass (or one that may be None) that has no place for what it does not know."""
    for kind in (hint, *typing.get_args(hint)):
        if isinstance(kind, type) and is_dataclass(kind):
            names = frozenset(field.name for field in fields(kind))
            return frozenset() if _UNKNOWN in names else names
    return frozenset()


def _read_array(plain: Any, where: str) -> np.ndarray[Any, Any]:
    if not isinstance(plain, dict) or plain.get("dtype") not in _DTYPES:
        raise _expected("an array", plain, where)
    shape = [_read_whole_number(side, where) for side in _items(plain.get("shape"), where)]
    dtype = np.dtype(plain["dtype"]).newbyteorder("<")
    size = math.prod(shape) * dtype.itemsize
    if any(side < 0 for side in shape) or size > _LARGEST_ARRAY or len(shape) > 8:
        raise TextError(f"{where}: expected an array of reasonable size, got {shape}")
    try:
        content = base64.b64decode(_read_text(plain.get("base64"), where), validate=True)
    except (binascii.Error, ValueError):
        raise TextError(f"{where}: expected base64") from None
    if len(content) != size:
        raise TextError(f"{where}: expected {size} bytes, got {len(content)}")
    array = np.frombuffer(content, dtype=dtype).reshape(shape).astype(plain["dtype"], copy=False)
    array.flags.writeable = False
    return array
