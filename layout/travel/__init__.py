"""Travel: what the axle does through bump, droop, roll and steer."""
