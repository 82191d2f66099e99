//! Gas law for a closed part: what a gauge will show elsewhere.
