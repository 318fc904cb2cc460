"""What the mould is made of: pieces, plates, bars, fasteners, joints, and the mould that they make."""
