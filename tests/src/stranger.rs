//! A device that signs whatever it is told to: what no phone of ours would write, well signed.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;

use ed25519_dalek::{Signer, SigningKey};
use slackwater_core::journal::{DeviceId, Event, Hlc};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// The device.
pub struct Stranger {
    key: SigningKey,
    seq: u64,
    head: [u8; 32],
}

impl Stranger {
    /// One with a key of its own.
    pub fn new(seed: u8) -> Stranger {
        Stranger {
            key: SigningKey::from_bytes(&[seed; 32]),
            seq: 0,
            head: [0; 32],
        }
    }

    /// The name of a photo: BLAKE3 of its bytes, hex.
    pub fn name_of(photo: &[u8]) -> String {
        blake3::hash(photo).to_hex().to_string()
    }

    /// Its id.
    pub fn device(&self) -> DeviceId {
        DeviceId(self.key.verifying_key().to_bytes())
    }

    /// Its next event: a body about a subject, at a time.
    pub fn writes(&mut self, subject: &str, body: &serde_json::Value, ms: i64) -> Event {
        let like = Event {
            device: self.device(),
            seq: 0,
            hlc: Hlc::at(ms),
            wall_ms: ms,
            author: String::new(),
            subject: subject.to_owned(),
            kind: body["fact"].as_str().unwrap_or_default().to_owned(),
            body: body.to_string().into_bytes(),
            heard: None,
            prev: [0; 32],
            hash: [0; 32],
            signature: [0; 64],
        };
        self.says(&like, Hlc(Hlc::at(ms).0 + self.seq), ms)
    }

    /// Its next event: what `like` says, with another clock.
    pub fn says(&mut self, like: &Event, hlc: Hlc, wall_ms: i64) -> Event {
        self.seq += 1;
        let mut event = Event {
            device: self.device(),
            seq: self.seq,
            hlc,
            wall_ms,
            prev: self.head,
            ..like.clone()
        };
        event.hash = event.compute_hash();
        event.signature = self.key.sign(&event.hash).to_bytes();
        self.head = event.hash;
        event
    }
}

/// An event as a line of a file of everything.
pub fn line(e: &Event) -> String {
    let hex = |bytes: &[u8]| bytes.iter().map(|b| format!("{b:02x}")).collect::<String>();
    let line = serde_json::json!({
        "device": hex(&e.device.0),
        "seq": e.seq,
        "hlc": format!("{:016x}", e.hlc.0),
        "wall_ms": e.wall_ms,
        "author": e.author,
        "subject": e.subject,
        "kind": e.kind,
        "body": String::from_utf8_lossy(&e.body),
        "prev": hex(&e.prev),
        "hash": hex(&e.hash),
        "signature": hex(&e.signature),
    });
    format!("{line}\n")
}

/// A file of everything, packed as tightly as it can be, with any parts that are given.
pub fn everything(
    path: &Path,
    events: impl IntoIterator<Item = String>,
    parts: &[(String, Vec<u8>)],
) -> std::io::Result<()> {
    let packed = SimpleFileOptions::default();
    let mut zip = ZipWriter::new(BufWriter::new(File::create(path)?));
    zip.start_file("events.jsonl", packed)?;
    let mut count = 0;
    for line in events {
        zip.write_all(line.as_bytes())?;
        count += 1;
    }
    for (name, bytes) in parts {
        zip.start_file(name, packed)?;
        zip.write_all(bytes)?;
    }
    zip.start_file("about.json", packed)?;
    let about = serde_json::json!({
        "format": "slackwater everything",
        "version": 1,
        "events": count,
        "photos": parts.len(),
    });
    zip.write_all(about.to_string().as_bytes())?;
    zip.finish()?.flush()
}
