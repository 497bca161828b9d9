"""Pins for what has none: which part goes where, on which board, and what helps when none fits."""

from panelbridge.wiring.pin_plan.plan_file import PinPlan, plan_pins

__all__ = ["PinPlan", "plan_pins"]
