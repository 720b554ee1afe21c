//! Bars as engraved notation, and where each onset stands in it.
