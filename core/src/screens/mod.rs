//! Layer 3: for each screen a plain record of what is shown, and the actions it takes.
