"""Gear warning: when the horn sounds, how it is silenced and re-armed."""
