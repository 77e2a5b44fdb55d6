"""What one build is made from: the designed truck, its travel and verdict, what it is issued as."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from ...parts.documents import levels
from ...parts.model.assembly import Part
from ...parts.model.terms import Level
from ...parts.truck.truck import Truck
from .design import Designed
from .file_names import drawing_name, revision_of, solid_name, stem_of
from .reuse import Reuse

if TYPE_CHECKING:
    from ...parts.drawing.revisions import Revision
    from ...parts.export.nest import KeptNest
    from ...parts.placed.cycle import Cycle
    from ...parts.verdict.findings import Judged
    from .verdict import Looked

NONE: Mapping[str, str] = MappingProxyType({})
NOW, AFTER = "cut/now", "cut/after-set-down"
"""Folders of the cut files."""
NO_HEATS: Mapping[str, Sequence[str]] = MappingProxyType({})
NO_HISTORY: Mapping[str, Sequence[Revision]] = MappingProxyType({})
OVERRIDE = "override."
"""How the words of a job that set a rule aside begin."""


class Issue(NamedTuple):
    """What a build is issued as; a draft unless it says otherwise.

    Attributes
    ----------
    letters: letter of every part that is released, by the part's id.
    firsts: chassis a part was first released with, where that is another.
    says: what every page says of it.
    level: what it is signed for.
    revision: the letter of the whole, empty for a draft.
    accepted: what was signed for, by whom and why.
    heats: entered so far of parts that keep their letter, by the part's id.
    revisions: of the whole, the first released first.
    history: revisions of a part's own drawing, by the part's id.
    """

    letters: Mapping[str, str] = NONE
    firsts: Mapping[str, str] = NONE
    says: str = "DRAFT - not released"
    level: Level = Level.DRAFT
    revision: str = ""
    accepted: Sequence[Mapping[str, str]] = ()
    heats: Mapping[str, Sequence[str]] = NO_HEATS
    revisions: Sequence[Revision] = ()
    history: Mapping[str, Sequence[Revision]] = NO_HISTORY


def silent(_: str) -> None:
    """Say nothing of how far the work is."""


class Build:
    """One build: its inputs, and the names its files get.

    Parameters
    ----------
    designed: the job, solved and designed.
    looked: its travel and its verdict, worked out once they are asked for if not given.
    truck: the designed truck with its letters put on, where that is another.
    issue: what it is issued as.
    kept: places of the nest, as ``nest_files.nest_kept`` reads them.
    again: the last draft, whose files are taken where nothing they rest on changed.
    say: is told how far the work is.
    with_solids: the kernel's solids too.
    """

    def __init__(
        self,
        designed: Designed,
        looked: Looked | None = None,
        *,
        truck: Truck | None = None,
        issue: Issue | None = None,
        kept: Mapping[str, KeptNest] = MappingProxyType({}),
        again: Reuse | None = None,
        say: Callable[[str], None] = silent,
        with_solids: bool = True,
    ) -> None:
        self.job, self.solved, self.shop = designed.job, designed.solved, designed.shop
        self.truck = truck or designed.truck
        self.strength = designed.strength
        self._designed, self._looked = designed, looked
        self.issue = issue or Issue()
        self.kept, self.again, self.say = kept, again or Reuse(), say
        self.with_solids = with_solids

    @cached_property
    def looked(self) -> Looked:
        """Its travel and its verdict."""
        return self._looked or self._designed.looked(self.say)

    @property
    def travel(self) -> Cycle:
        """How far it goes, and what comes near what."""
        return self.looked.cycle

    @property
    def judged(self) -> Judged:
        """What is said of it."""
        return self.looked.judged

    @property
    def chassis(self) -> str:
        """The truck's own name in every file."""
        return self.job.chassis

    @property
    def date(self) -> str:
        """The date the job gives, empty where it gives none."""
        return self.job.words.get("job.date", "")

    @property
    def foot(self) -> str:
        """Foot of a page whose head does not say what it may be used for."""
        return levels.foot(self.chassis, self.issue.says, self.issue.revision)

    @cached_property
    def aside(self) -> dict[str, str]:
        """Rules set aside: the word that did -> the rule and what was said, as printed."""
        return {
            key: f"{key.removeprefix(OVERRIDE).replace('_', ' ')}: {said}"
            for key, said in self.job.words.items()
            if key.startswith(OVERRIDE)
        }

    def revision(self, part: Part) -> str:
        """A part's own revision."""
        return revision_of(part, self.issue.letters)

    @cached_property
    def stems(self) -> dict[str, str]:
        """File name of every part without its ending, by the part's id."""
        return {
            p.id: stem_of(p, self.issue.firsts.get(p.id, self.chassis), self.revision(p), self.shop)
            for p in self.truck.parts
        }

    def cut_path(self, part: Part) -> str:
        """Where a plate's cut file stands: what is cut now by its thickness, apart from what is cut
        once the truck has stood on its wheels.
        """
        from ...parts.export.cut import thickness_name
        from ...parts.verdict.cut_today import stands_without

        late = stands_without(part)
        folder = AFTER if late else f"{NOW}/{thickness_name(part, self.shop)}"
        return f"{folder}/{self.stems[part.id]}.dxf"

    @cached_property
    def cut_alike(self) -> dict[str, list[str]]:
        """Why a part has a number of its own though another is cut alike, by the part's id."""
        from ...parts.drawing.hands import cut_alike

        return cut_alike(self.truck.parts)

    @cached_property
    def drawn_with(self) -> dict[str, Part]:
        """The left part a right one that is its mirror image is drawn with, by the right one's id;
        only where both may be cut or neither, and both are released or neither.
        """
        from ...parts.drawing.hands import twins

        by_id = {part.id: part for part in self.truck.parts}
        pairs = twins(self.truck.parts, self.truck.assembly.welds)
        return {
            right: by_id[left]
            for right, left in pairs.items()
            if self.judged.cut(right) == self.judged.cut(left)
            and (right in self.issue.letters) == (left in self.issue.letters)
        }

    def drawing_paths(self, part: Part) -> tuple[str, str]:
        """A part's drawing as PDF and as DXF; of two hands the left one's."""
        stem = self.stems[self.drawn_with.get(part.id, part).id]
        return f"drawing/{stem}.pdf", f"drawing/{drawing_name(stem, self.shop)}"

    def solid_path(self, part: Part) -> str:
        """A part's solid."""
        return f"solid/{solid_name(self.stems[part.id], self.shop)}"

    @property
    def whole_path(self) -> str:
        """The placed truck as one solid."""
        return f"solid/{solid_name(f'{self.chassis}-assembly', self.shop)}"
