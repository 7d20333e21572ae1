//! Writes the licences of everything inside the core anew, where the app finds them.

use slackwater_checks::licences::{LIST, list, root};

fn main() -> Result<(), String> {
    let list = list()?;
    std::fs::write(root().join(LIST), &list).map_err(|e| e.to_string())?;
    println!("{LIST}: {} lines", list.lines().count());
    Ok(())
}
