"""The package of the example in a language, and what its catalogue lacked while it was made."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from mouldgeom import Spec, load
from mouldgeom.filter.cautions import CAUTIONS
from mouldgeom.model.assembly import build
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import COST, KINDS
from mouldgeom.words import Words


def in_language(language: str) -> Spec:
    spec = load("hill-example")
    return spec.model_copy(update={"papers": spec.papers.model_copy(update={"language": language})})


class Heard:
    """Every catalogue that is opened from here on, and what they lacked."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.all: list[Words] = []
        begin = Words.__init__

        def noted(words: Words, *arguments: str, **named: str) -> None:
            begin(words, *arguments, **named)
            self.all.append(words)

        patch.setattr(Words, "__init__", noted)

    def missed(self) -> set[str]:
        return set().union(*(words.missed for words in self.all if words.language != "en"))


class Translated(NamedTuple):
    """Content of each file by its kind and path; sentences that the catalogue lacked; sources that were cited."""

    kinds: dict[str, dict[str, bytes]]
    missed: set[str]
    sources: set[str]

    @property
    def files(self) -> dict[str, bytes]:
        return {path: content for files in self.kinds.values() for path, content in files.items()}


def translated(language: str) -> Translated:
    """Everything but the cost, which needs prices."""
    with pytest.MonkeyPatch.context() as patch:
        heard = Heard(patch)
        job = Job(build(in_language(language)), kinds=tuple(kind for kind in KINDS if kind is not COST))
        kinds: dict[str, dict[str, bytes]] = {}
        for file in make_files(job):
            kinds.setdefault(file.kind.name, {})[file.path] = file.content
        missed = heard.missed()
    return Translated(kinds, missed, _sources(job))


def _sources(job: Job) -> set[str]:
    chapters = job.reviewed_chapters
    found = {result.source for result in job.results} | {caution.source for caution in CAUTIONS}
    found |= {said.source for chapter in chapters for said in (*chapter.steps, *chapter.requirements)}
    for table in (table for chapter in chapters for table in chapter.tables):
        cited = [number for number, head in enumerate(table.head) if head == "source"]
        found |= {str(row[number]) for row in table.rows for number in cited}
    return found
