//! The UniFFI surface of Slackwater.
uniffi::setup_scaffolding!("slackwater");
// The core's own namespace leaves through the same library.
slackwater_core::uniffi_reexport_scaffolding!();
