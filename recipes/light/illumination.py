"""What arrives at receivers, kept apart by source and by path, and how far off it may be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.light.source import Kind, Source
from recipes.light.spread import combined_stops
from recipes.quantity import Array

__all__ = ["Illumination"]


@dataclass(frozen=True, eq=False)
class Illumination:
    """What arrives at the receivers.

    ``amounts`` (sources, paths, ...) in lx·s for flash and lux for ambient sources; the last axes are those of the
    points. `sources` and `paths` name the first two. ``hangs_on`` names the figure that each path hangs on and
    ``path_spreads_stops`` is one standard deviation of that; paths that hang on one, as all bounces of a room hang on
    its walls, are off together.
    """

    sources: tuple[Source, ...]
    paths: tuple[str, ...]
    amounts: Array
    path_spreads_stops: tuple[float, ...]
    hangs_on: tuple[str, ...]

    @property
    def ways(self) -> tuple[str, ...]:
        """The figures that paths hang on, each named once."""
        return tuple(dict.fromkeys(self.hangs_on))

    @property
    def way_spreads_stops(self) -> tuple[float, ...]:
        """One standard deviation of each of those, in stops."""
        return tuple(self.path_spreads_stops[self.hangs_on.index(way)] for way in self.ways)

    @property
    def flash_lxs(self) -> Array:
        """All flash together, (...) in lx·s."""
        return self._total("flash")

    @property
    def ambient_lux(self) -> Array:
        """All ambient together, (...) in lux."""
        return self._total("ambient")

    def of_source(self, label: str) -> Array:
        """One source along all its paths, (...) in lx·s or lux. Raises KeyError."""
        return np.asarray(self.amounts[self._row(label)].sum(axis=0))

    def by_path(self, label: str) -> Array:
        """One source by its paths, (paths, ...) in lx·s or lux. Raises KeyError."""
        return np.asarray(self.amounts[self._row(label)])

    def by_way(self, label: str) -> Array:
        """The same with paths that hang on one figure as one, (ways, ...). Raises KeyError."""
        return self._in_ways(self.by_path(label))

    def of_path(self, label: str, path: str) -> Array:
        """One source along one path, (...) in lx·s or lux. Raises KeyError."""
        if path not in self.paths:
            raise KeyError(f"there is no path {path!r}; the paths are {', '.join(self.paths)}")
        return np.asarray(self.amounts[self._row(label), self.paths.index(path)])

    def spread_stops(self, kind: Kind) -> Array:
        """One standard deviation of that kind's total, (...) in stops.

        Each source's flux is off by itself, on all its paths at once; each reflectance is off by itself, for all
        sources at once.
        """
        rows = self._rows(kind)
        light = self.amounts[rows]
        total = light.sum(axis=(0, 1))
        share = light / np.where(total > 0, total, 1.0)
        own = np.array([self.sources[row].spread_stops for row in rows])
        of_sources = np.einsum("s...,s->s...", share.sum(axis=1), own)
        ways = self._in_ways(share.sum(axis=0))
        of_ways = np.einsum("w...,w->w...", ways, np.array(self.way_spreads_stops))
        return np.broadcast_to(combined_stops(*of_sources, *of_ways), total.shape)

    def _in_ways(self, by_path: Array) -> Array:
        """Amounts (paths, ...) as (ways, ...)."""
        found = np.zeros((len(self.ways), *by_path.shape[1:]))
        np.add.at(found, [self.ways.index(way) for way in self.hangs_on], by_path)
        return found

    def _total(self, kind: Kind) -> Array:
        return np.asarray(self.amounts[self._rows(kind)].sum(axis=(0, 1)))

    def _rows(self, kind: Kind) -> list[int]:
        return [row for row, source in enumerate(self.sources) if source.kind == kind]

    def _row(self, label: str) -> int:
        for row, source in enumerate(self.sources):
            if source.label == label:
                return row
        raise KeyError(
            f"there is no source {label!r}; the sources are {', '.join(s.label for s in self.sources)}"
        )
