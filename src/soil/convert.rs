//! Conversions between printed and canonical quantities, between oxides and elements, masses and areas.
