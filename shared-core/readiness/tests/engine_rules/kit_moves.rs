//! Which craft would go if only their kit were whole.
