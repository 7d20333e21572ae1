//! What checks Slackwater from outside.
