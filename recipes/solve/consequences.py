"""What else would be wrong then?

A way out of one gap may open another: a stronger head burns longer, a smaller aperture shows the dust. Every check is
asked again about the setup as it would be; what was wrong before is not counted.
"""

from __future__ import annotations

from dataclasses import replace

from recipes.checks.findings import Finding
from recipes.checks.registry import Report, run_checks
from recipes.checks.setup import Setup
from recipes.look import CameraPlan

__all__ = ["new_gaps", "with_camera"]


def new_gaps(before: Report, changed: Setup) -> tuple[Finding, ...]:
    """The gaps of the changed setup that the report of the present one does not have, in the order of the checks."""
    known = {(finding.check, finding.about) for finding in before.findings if finding.status == "gap"}
    return tuple(
        finding
        for finding in run_checks(changed).findings
        if finding.status == "gap" and (finding.check, finding.about) not in known
    )


def with_camera(setup: Setup, camera: CameraPlan) -> Setup:
    """The same setup at another camera setting."""
    return replace(setup, look=setup.look.model_copy(update={"camera": camera}))
