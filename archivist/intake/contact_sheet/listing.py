"""A proposal as scripts read it. Its keys stay as they are; new ones may be added."""

from __future__ import annotations

from typing import Any

import msgspec

from archivist.intake.contact_sheet.found import findings_of
from archivist.intake.pictures.findings import Copy, Doubt, Group, PictureFile, SamePicture
from archivist.intake.proposal import Proposal
from archivist.model import Region


def listed(proposal: Proposal) -> dict[str, Any]:
    """The proposal with its photographs, duplicates, groups and doubts under keys of their own.

    Every key of these four is always there: text is '' and a list [] where there is nothing to
    say. All else is as in the proposal's file.
    """
    found = findings_of(proposal)
    whole: dict[str, Any] = msgspec.to_builtins(proposal)
    whole.pop("found", None)
    for name in ("questions", "troubles", "items"):
        whole.setdefault(name, [])
    locations = {source.id: source.location for source in proposal.sources}
    whole["photographs"] = [_photograph(p, locations) for p in found.photographs]
    whole["duplicates"] = [_duplicate(same) for same in found.duplicates]
    whole["groups"] = [_group(group) for group in found.groups]
    whole["doubts"] = [_doubt(doubt) for doubt in found.doubts]
    return whole


def _photograph(file: PictureFile, locations: dict[str, str]) -> dict[str, Any]:
    return {
        "path": file.path,
        "path_bytes": file.path_bytes,
        "source": file.source,
        "source_location": locations.get(file.source, ""),
        "sha256": file.sha256,
        "width": file.width,
        "height": file.height,
        "taken": file.taken,
        "taken_certainty": file.taken_certainty.value if file.taken else "",
        "taken_ground": file.taken_ground,
        "taken_others": list(file.taken_others),
        "view": file.view.value,
        "view_certainty": file.view_certainty.value,
        "view_ground": file.view_ground,
        "camera": file.camera,
        "known": file.known,
    }


def _duplicate(same: SamePicture) -> dict[str, Any]:
    return {
        "keeper": same.keeper,
        "sha256": same.sha256,
        "source": same.source,
        "because": list(same.because),
        "others": [_copy(other) for other in same.others],
    }


def _copy(copy: Copy) -> dict[str, Any]:
    relations = copy.relations or (copy.relation,)
    return {
        "path": copy.path,
        "sha256": copy.sha256,
        "relation": copy.relation.value,
        "relations": [relation.value for relation in relations],
        "certainty": copy.certainty.value,
        "reasons": list(copy.reasons),
    }


def _group(group: Group) -> dict[str, Any]:
    return {
        "key": group.key,
        "source": group.source,
        "paths": list(group.paths),
        "object": group.object,
        "name": group.name,
        "certainty": group.certainty.value,
        "reasons": list(group.reasons),
        "several": group.several,
        "objects": list(group.objects),
        "regions": [
            {"path": shows.path, "object": shows.object, "region": _region(shows.region)}
            for shows in group.regions
        ],
    }


def _region(region: Region) -> dict[str, int]:
    return {
        "x": region.x,
        "y": region.y,
        "width": region.width,
        "height": region.height,
        "reference_width": region.reference_width,
        "reference_height": region.reference_height,
        "page": region.page,
    }


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return {
        "about": doubt.about,
        "paths": list(doubt.paths),
        "says": doubt.says,
        "reasons": list(doubt.reasons),
    }
