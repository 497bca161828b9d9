"""Speed limits of the gear: VLO and VLE."""
