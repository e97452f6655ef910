"""What is measured on site before anything is bent: from box to box, what is there to be matched, racks.

Each module has one `Site`: the measures it asks and what follows from them. Plane geometry; sources stand beside it.
"""

from bench.core.site.base import Answer, Lead, LeadsTo, Site
from bench.core.site.catalogue import SITES, work_out_site

__all__ = ["SITES", "Answer", "Lead", "LeadsTo", "Site", "work_out_site"]
