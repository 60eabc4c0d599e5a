"""Springs of forks and shocks: force, rate and energy over the stroke, at the shaft and at the wheel."""
