"""Planning: a rotation, a station's bank of turns with its trucks, trigger readings."""
