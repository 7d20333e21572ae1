//! The UniFFI surface of Slackwater.
uniffi::setup_scaffolding!("slackwater");
