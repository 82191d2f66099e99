"""The computations behind the reference files, one module per subject; `remake.py` compares."""
