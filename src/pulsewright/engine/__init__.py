"""The shot chain: binds one machine and the reference data to physics, stage by stage.

charge -> discharge -> light -> pump -> gain -> beam -> margins. A stage is a pure function from frozen records
to a frozen record and never looks back up the chain; each is cached by the inputs it reads (`chain.Chain`).
"""
