"""Wheel brakes: pedals, parking brake, emergency brake, stored energy."""
