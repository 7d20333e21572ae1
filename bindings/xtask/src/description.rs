//! What the app is and what it is built with stands once, in Gradle's own catalogue of versions.
//! Gradle reads it, this program reads it, and Maven is told of each key as the property
//! `KEY.version` by `.mvn/maven.config`, which is written here.

use crate::bindings::platform;
use crate::run::{put, root};
use anyhow::{Context, Result};
use fs_err as fs;
use std::collections::BTreeMap;

/// Where it stands.
pub const CATALOGUE: &str = "android-shell/gradle/libs.versions.toml";

/// What stands under `[versions]`, key by key.
#[derive(Clone)]
pub struct Description(BTreeMap<String, String>);

impl Description {
    /// Reads it.
    pub fn read() -> Result<Self> {
        let text = fs::read_to_string(root().join(CATALOGUE))?;
        Self::parse(&text).with_context(|| format!("reading {CATALOGUE}"))
    }

    fn parse(text: &str) -> Result<Self> {
        let mut all: toml::Table = toml::from_str(text)?;
        let versions = all.remove("versions").context("there is no [versions]")?;
        Ok(Self(versions.try_into().context("[versions]")?))
    }

    /// What a key says.
    pub fn of(&self, key: &str) -> Result<&str> {
        let said = self.0.get(key).map(String::as_str);
        said.with_context(|| format!("{CATALOGUE} has no {key} under [versions]"))
    }

    /// The processors that a package for phones carries the core for, by Android's names.
    pub fn processors(&self) -> Result<Vec<&str>> {
        Ok(self.of("processors")?.split(',').collect())
    }

    /// Writes what Maven reads before anything else, also where a person or an editor starts it.
    pub fn tell_maven(&self) -> Result<()> {
        // The compiler's daemon would stay behind with its 1.4 GB. Incremental is not for speed:
        // without it the classes of the last build lie on the compiler's path, and a call may be
        // bound to a function that is no longer there.
        let mut config = "-Dkotlin.compiler.daemon=false\n".to_string();
        config.push_str("-Dkotlin.compiler.incremental=true\n");
        config.push_str(&format!("-Dskiko.runtime={}\n", platform()?.1));
        for (key, value) in &self.0 {
            config.push_str(&format!("-D{key}.version={value}\n"));
        }
        put(&root().join(".mvn/maven.config"), config.as_bytes())?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_catalogue_without_versions_or_with_a_rich_version_is_refused() {
        assert!(Description::parse("[libraries]").is_err());
        assert!(Description::parse("[versions]\na = { strictly = \"1\" }").is_err());
        let said = Description::parse("[versions]\nprocessors = \"a,b\"\n").unwrap();
        assert_eq!(said.processors().unwrap(), ["a", "b"]);
        assert!(said.of("minSdk").is_err());
    }
}
