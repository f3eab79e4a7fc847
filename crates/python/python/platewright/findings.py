"""What the program has to say about a drawing or a plan, and the exception that carries it."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Finding:
    """One thing a person should know. docs/guide/findings.md lists every code."""

    code: str
    """Stable name, such as "near-miss"."""
    severity: Literal["error", "warning", "note"]
    """"error": something is not in the plan or not right in it; "warning": look; "note": good to know."""
    message: str
    """What, with the numbers of this case."""
    title: str
    """What the code stands for, in a few words."""
    meaning: str
    """What it means and why it matters for the cut list."""
    rule: str
    """The rule behind it, with its source."""
    remedy: str
    """What to do."""
    at_nm: tuple[int, int] | None = None
    """Where in plan, nanometres, the drawing's origin taken off; None where it is no place."""
    subject: str = ""
    """What it is about: W3, R2, J7, P12, a place in a file, a settings key; may be empty."""
    sources: tuple[tuple[str, str], ...] = ()
    """The drawing's entities behind it: handle or GlobalId, and layer or class."""

    @property
    def at_in(self) -> tuple[float, float] | None:
        """Where in plan, inches."""
        if self.at_nm is None:
            return None
        return self.at_nm[0] / 25_400_000, self.at_nm[1] / 25_400_000

    def __str__(self) -> str:
        return f"{self.severity}[{self.code}]: {self.message}"


class Refused(Exception):
    """The drawing, its settings or its edits were refused: there is no plan at all."""

    findings: tuple[Finding, ...]
    """Why, the most telling first."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(findings)
        self.findings = findings

    def __str__(self) -> str:
        return "\n".join(str(finding) for finding in self.findings)
