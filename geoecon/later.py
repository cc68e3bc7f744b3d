"""What is worked out only when somebody looks at it: most of what a pass can tell, nobody asks of thousands of scenarios."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any, TypeVar, overload

T = TypeVar("T")


class LaterMapping(Mapping[str, T]):
    """A mapping whose values are made one by one, each at the first look.

    >>> LaterMapping(("a", "bc"), len)["bc"]
    2
    """

    def __init__(self, keys: Iterable[str], make: Callable[[str], T]) -> None:
        self._keys = dict.fromkeys(keys)
        self._make = make
        self._made: dict[str, T] = {}

    def __getitem__(self, key: str) -> T:
        if key not in self._made:
            if key not in self._keys:
                raise KeyError(key)
            self._made[key] = self._make(key)
        return self._made[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)

    def __reduce__(self) -> tuple[Any, ...]:
        return dict, (dict(self),)


class LaterSequence(Sequence[T]):
    """A sequence whose items are made together, at the first look.

    >>> len(LaterSequence(lambda: iter("abc")))
    3
    """

    def __init__(self, make: Callable[[], Iterator[T]]) -> None:
        self._make = make

    @cached_property
    def _made(self) -> tuple[T, ...]:
        return tuple(self._make())

    @overload
    def __getitem__(self, index: int) -> T: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[T, ...]: ...

    def __getitem__(self, index: int | slice) -> T | tuple[T, ...]:
        return self._made[index]

    def __len__(self) -> int:
        return len(self._made)

    def __reduce__(self) -> tuple[Any, ...]:
        return tuple, (self._made,)
