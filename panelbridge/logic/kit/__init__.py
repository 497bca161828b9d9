"""What every system stands on: declarations, rules, charts, curves, edges, typed handles."""
