//! Reads the built library and writes its Kotlin, Swift and Python.
//!
//! `slackwater-bindgen LIBRARY CONFIG OUT` writes into folders of `OUT`. It is a program of its own so
//! that only `cargo xtask bindings` compiles the generator.

use anyhow::{Context, Result, bail};
use uniffi_bindgen::bindings::{
    GenerateOptions, SwiftBindingsOptions, TargetLanguage, generate, generate_swift_bindings,
};

fn main() -> Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [library, config, out] = args.as_slice() else {
        bail!("usage: slackwater-bindgen LIBRARY CONFIG OUT");
    };
    for (language, dir) in [
        (TargetLanguage::Kotlin, "kotlin"),
        (TargetLanguage::Python, "python"),
    ] {
        generate(GenerateOptions {
            languages: vec![language],
            source: library.into(),
            out_dir: format!("{out}/{dir}").into(),
            config_override: Some(config.into()),
            ..GenerateOptions::default()
        })
        .with_context(|| format!("generating {dir} from {library}"))?;
    }
    for (sources, dir) in [(true, "swift-sources"), (false, "swift-headers")] {
        generate_swift_bindings(SwiftBindingsOptions {
            generate_swift_sources: sources,
            generate_headers: !sources,
            generate_modulemap: !sources,
            source: library.into(),
            out_dir: format!("{out}/{dir}").into(),
            module_name: Some("SlackwaterFFI".into()),
            modulemap_filename: Some("module.modulemap".into()),
            metadata_no_deps: true,
            config: Some(config.into()),
            ..SwiftBindingsOptions::default()
        })
        .with_context(|| format!("generating {dir} from {library}"))?;
    }
    Ok(())
}
