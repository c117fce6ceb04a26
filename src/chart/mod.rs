//! An assessment drawn: one scene, painted as SVG or PNG.
