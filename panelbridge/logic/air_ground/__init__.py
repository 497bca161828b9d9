"""Air/ground sensing: what the squat switches of all struts say together."""
