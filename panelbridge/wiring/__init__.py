"""From a drawer of parts to a proven panel: pin plan, currents, wiring sheet, bring-up."""
