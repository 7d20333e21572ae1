//! Photo notes: originals kept as the camera made them.
