"""The flashlamp: square-root law, plasma, discharge and light."""
