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
    points. `sources` and `paths` name the first two.
    """

    sources: tuple[Source, ...]
    paths: tuple[str, ...]
    amounts: Array
    path_spreads_stops: tuple[float, ...]

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
        of_paths = np.einsum("p...,p->p...", share.sum(axis=0), np.array(self.path_spreads_stops))
        return np.asarray(combined_stops(*of_sources, *of_paths)) + np.zeros(total.shape)

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
