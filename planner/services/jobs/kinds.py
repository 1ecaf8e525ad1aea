"""The kinds of long work, by the name that is stored with a job."""

from collections.abc import Mapping

from planner.services.imports.import_job import IMPORT, import_job
from planner.services.imports.undo_import import UNDO_IMPORT, undo_import_job
from planner.services.jobs.run import Work
from planner.services.library.restudy import RESTUDY, restudy
from planner.services.plan.plan_job import PLAN, plan_job
from planner.services.sheets.guides_job import GUIDES, guides_job

KINDS: Mapping[str, Work] = {
    RESTUDY: restudy, PLAN: plan_job, IMPORT: import_job, UNDO_IMPORT: undo_import_job,
    GUIDES: guides_job,
}  # fmt: skip
"""What the worker and the commands can do. What comes later adds its own here."""
