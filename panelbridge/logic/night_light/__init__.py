"""Night light: a light over the gear handle that burns at night."""
