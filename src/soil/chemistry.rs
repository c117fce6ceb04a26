//! Closure arithmetic of the exchange complex.
