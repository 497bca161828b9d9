"""Moving the switches of a simulated panel by key and by mouse."""
