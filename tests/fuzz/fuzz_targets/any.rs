//! Any of the targets under libFuzzer: `SLACKWATER_TARGET` names it. With `SLACKWATER_SEEDS`, a folder, it
//! writes there what the target begins from, and ends. With `SLACKWATER_BATCH` what one store met before it
//! failed is written to `SLACKWATER_KEPT`, a folder: those files, in their order, are what to run again.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use slackwater_checks::fuzz::{Target, target};

fn wanted() -> &'static Target {
    static WANTED: OnceLock<&Target> = OnceLock::new();
    WANTED.get_or_init(|| {
        let name = std::env::var("SLACKWATER_TARGET").expect("SLACKWATER_TARGET names a target");
        let target = target(&name);
        if let Ok(folder) = std::env::var("SLACKWATER_SEEDS") {
            for (n, seed) in (target.seeds)().into_iter().enumerate() {
                let at = std::path::Path::new(&folder).join(format!("seed-{n}"));
                std::fs::write(at, seed).expect("a seed can be written");
            }
            std::process::exit(0);
        }
        if let Ok(folder) = std::env::var("SLACKWATER_KEPT") {
            let ends = std::panic::take_hook();
            std::panic::set_hook(Box::new(move |why| {
                for (n, input) in slackwater_checks::fuzz::since().iter().enumerate() {
                    let at = std::path::Path::new(&folder).join(format!("met-{n:04}"));
                    let _ = std::fs::write(at, input);
                }
                ends(why);
            }));
        }
        target
    })
}

fuzz_target!(init: { wanted(); }, |input: &[u8]| (wanted().run)(input));
