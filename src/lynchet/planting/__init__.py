"""Sun, soil, plants and watering."""
