//! From words or cells to Report > Sample > Reading, by vocabulary and geometry.
